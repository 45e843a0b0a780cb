package learn

import (
	"fmt"
	"math"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// beatenBy is what is learned of pieces that were beaten by so much more, in turn.
func beatenBy(more ...float64) float64 {
	q := scarf("oat", "slate")
	q.Project.Picks = 6 * measure.PerCentimetre
	var pieces []stash.Piece
	for n := range 20 {
		const tape = 1800
		p := woven(q, stash.Measures{Tape: tape,
			Picks: int(math.Round(0.6 * tape * math.Exp(more[n%len(more)])))})
		p.ID = stash.PieceID(fmt.Sprint("p", n))
		pieces = append(pieces, p)
	}
	return Losses(q, pieces, shelf()).Beat.Value.Float()
}

// Picks below those that were set are learned as those above are: a bound on one side alone
// would make the mean too high.
func TestFewerPicksAreLearnedAsMoreAre(t *testing.T) {
	close(t, "as much above as below", beatenBy(-.08, .08), 0, 0.001)
	close(t, "a light hand", beatenBy(-.12), -beatenBy(.12)/(1+beatenBy(.12)), 0.001)
}

// weighedScarves are pieces whose weft was weighed: so much flat weft of a yarn that took up
// a twentieth, weighed as it is.
func weighedScarves(q Question, n int) []stash.Piece {
	q.Project.Picks = 6 * measure.PerCentimetre
	var pieces []stash.Piece
	for i := range n {
		p := woven(q, stash.Measures{Tape: 1800, Picks: 1080, OffWidth: 300, Reed: 320})
		p.ID = stash.PieceID(fmt.Sprint("p", i))
		p.Plan.Picks, p.Plan.Tape = 1080, 1800
		p.Finish.Debits = []stash.Debit{{Package: "slate weft", Role: stash.RoleWeft,
			Measured: true, Mass: measure.Mass(1080 * 300 * 0.25 * 1.05)}}
		pieces = append(pieces, p)
	}
	return pieces
}

// Weighed weft tells of count and take-up together: where the yarn is longer than believed
// it has taken up more, so that what the next piece needs in grams is surer than either.
func TestTheTakeUpOfAWeighedWeftFollowsItsCount(t *testing.T) {
	q := scarf("oat", "slate")
	follows := func(n int) float64 {
		set := Losses(q, weighedScarves(q, n), shelf())
		for _, d := range set.Doubts() {
			if d.Name == CountError("slate") {
				return d.Losses.WeftTakeUp.Float() / (1 + set.WeftTakeUp.Value.Float())
			}
		}
		return 0
	}
	if got := follows(0); got != 0 {
		t.Errorf("nothing was weighed, and the take-up follows the count by %.4f", got)
	}
	// The yarn of the shelf has a count of ±5 %, of which 1 % is in all that is weighed.
	few, many := follows(2), follows(30)
	if few <= 0.01 || many <= few || many > 0.04+1e-6 || many < 0.034 {
		t.Errorf("after 2 and 30 pieces by %.4f and %.4f", few, many)
	}
	// Another count of the same weighings is another take-up: by as much as was said.
	s := shelf()
	y := s.Yarns["slate"]
	count := *y.Count
	count.Count = count.Count * 96 / 100
	y.Count = &count
	s.Yarns["slate"] = y
	pieces := weighedScarves(q, 30)
	was, is := Losses(q, pieces, shelf()).WeftTakeUp.Value, Losses(q, pieces, s).WeftTakeUp.Value
	moved := math.Log((1 + is.Float()) / (1 + was.Float()))
	close(t, "take-up where the yarn is 4 % longer", moved, many, 0.003)
}
