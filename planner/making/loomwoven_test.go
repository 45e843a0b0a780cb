package making

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// loomed weaves a piece on the loom: whether its warp reaches the tape, and whether the weft
// is enough for the finished length, by errors that are drawn once for both.
func (w *weaver) loomed(wound, target float64, means [2][4]float64) (reaches, enough bool) {
	l, a := w.drawn(w.along), w.drawn(w.across)
	b, n := w.b, float64(max(1, w.b.Pieces))
	e, p, q, s := means[0][0]+l[0], means[0][1]+l[1], means[0][2]+l[2], means[0][3]+l[3]
	fringe := float64(b.Fringe)
	bare := (n-1)*2*fringe + math.Max(fringe, 150*math.Exp(-e)) +
		math.Max(fringe, 450*math.Exp(-e)) + float64(b.Sample+b.Header)
	reaches = n*(target-1)*math.Exp(p-e)+bare <= wound
	relaxed := float64(b.Length+b.Hem) * math.Exp(s)
	width := float64(w.ends-b.FloatingSelvedges) / (float64(b.Sett) / 1e6) *
		math.Exp(-means[1][0]-a[0])
	perMM := float64(b.Picks) / 1e6 * math.Exp(means[1][3]+a[3])
	across := width * math.Exp(means[1][2]+a[2]) * float64(max(1, b.PickStrands))
	weft := n*math.Ceil(relaxed*math.Exp(e+q)*perMM)*across +
		n*float64(b.HemstitchedEdges)*4*width
	if b.Sample > 0 {
		weft += math.Ceil(float64(b.Sample)*perMM) * across
	}
	balls := -1.0
	for _, y := range w.yarn() {
		if y.weft {
			weft -= y.length
			balls++
		}
	}
	return reaches, weft+math.Max(0, balls)*float64(w.s.Settings.Join) <= 0
}

// TestPiecesOnTheLoomAreFinishedAsOftenAsTheySay puts random plans on the loom and weaves
// them: the warp reaches as often as it says, the weft is enough as often, and both as often
// as the product of the two.
func TestPiecesOnTheLoomAreFinishedAsOftenAsTheySay(t *testing.T) {
	plans, draws := 60, 2000
	if os.Getenv("ENDSMEET_LONG") == "1" {
		plans, draws = 400, 40_000
	}
	open := 0
	for n := range plans {
		r := rand.New(rand.NewPCG(uint64(n), 23))
		s, b := drawnPlan(t, r)
		if b.Weft[0].Yarn == cotton {
			continue // of one yarn the warp is already off it
		}
		for i := range s.Packages { // warp enough, and weft about as much as it takes
			p := &s.Packages[i]
			if p.Held = p.Held * measure.Mass(100+r.IntN(15)) / 100; p.Yarn == cotton {
				p.Held = p.Held * 4 / 3
			}
		}
		o := planned(t, s, b)
		if !o.Fits() || o.Verdict == chance.Unknown {
			continue
		}
		piece := onLoom(t, s, b)
		rest, err := Remaining(s.With(piece), piece, 0)
		if err != nil {
			t.Fatal(err)
		}
		if rest.WeftShort > 0.02 && rest.WeftShort < 0.98 {
			open++
		}
		weaver := weaverOf(s, o, b, uint64(n))
		weaver.finishes(t, n, b, piece, rest, draws)
	}
	if open < plans/10 {
		t.Errorf("only %d are open", open)
	}
}

// finishes weaves a piece on the loom so often and holds what was said against it.
func (w *weaver) finishes(t *testing.T, n int, asked stash.ProjectFacts, piece stash.Piece,
	rest Rest, draws int) {
	t.Helper()
	asked.Sett, asked.Picks = w.b.Sett, w.b.Picks
	var means [2][4]float64
	for d, mean := range meansOf(asked, w.s) {
		means[d] = mean
	}
	var was [3]float64
	for range draws {
		reaches, enough := w.loomed(float64(piece.Plan.WarpEnd), float64(rest.Target), means)
		for i, is := range []bool{reaches, enough, reaches && enough} {
			if is {
				was[i]++
			}
		}
	}
	off := 0.02 + 3*math.Sqrt(0.25/float64(draws))
	for i, said := range []float64{1 - rest.Short, 1 - rest.WeftShort, rest.Both()} {
		if got := was[i] / float64(draws); math.Abs(got-said) > off {
			t.Errorf("plan %d: %s said with %.3f, in %.3f of pieces", n,
				[]string{"the warp reaches", "the weft is enough", "both"}[i], said, got)
		}
	}
}
