package learn

import (
	"math"
	"slices"
	"strconv"

	"endsmeet/planner"
	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// scatterWaste is how far the loom waste differs from piece to piece; one standard
// deviation (common practice, no source).
const scatterWaste = 3 * measure.Centimetre

// Doubts are the independent errors of weaving the next piece. Each moves several losses
// together, as they err together: where only a sum is known its parts move against each
// other. A project that states every loss is taken at its word, for picks and waste too:
// it has none.
func (s Set) Doubts() []planner.Doubt {
	if s.Settled() {
		return nil
	}
	var out []planner.Doubt
	for i, by := range factors(s.Along) {
		out = append(out, planner.Doubt{Name: "weaving: length " + strconv.Itoa(i+1),
			Losses: planner.Losses{
				Strain:     gain(s.Strain.Value, by[strain]),
				Stretch:    gain(s.Stretch.Value, stretchOf.Dot(by)),
				WarpTakeUp: gain(s.TakeUp.Value, takeUpOf.Dot(by)),
				WetLength:  loss(s.ShrinkLength.Value, by[washing]),
			}})
	}
	for i, by := range factors(s.Across) {
		out = append(out, planner.Doubt{Name: "weaving: width " + strconv.Itoa(i+1),
			Losses: planner.Losses{
				DrawIn:     loss(s.DrawIn.Value, by[drawingIn]),
				WetWidth:   loss(s.ShrinkWidth.Value, by[washingWide]),
				WeftTakeUp: gain(s.WeftTakeUp.Value, by[weftBend]),
				Beating:    gain(s.Beat.Value, by[beating]),
			}})
	}
	if by := s.follows.by; by > 0 && !s.WeftTakeUp.Given {
		out = append(out, planner.Doubt{Name: CountError(s.follows.yarn),
			Losses: planner.Losses{WeftTakeUp: gain(s.WeftTakeUp.Value, by)}})
	}
	if !s.EndsSettled() {
		out = append(out, planner.Doubt{Name: "weaving: waste", Waste: scatterWaste})
	}
	return out
}

// CountError names the error of the count of a yarn, which all that hangs on it shares. The
// id is its identity: two yarns of one name err each for itself.
func CountError(id stash.YarnID) string { return "count of " + string(id) }

// follows is by how much the take-up that was learned of a weft moves, as a logarithm, with
// one standard deviation of its count: weighed weft tells of their product alone, so that a
// yarn that is longer than believed has taken up more; but for what all weighings are off by.
type follows struct {
	yarn stash.YarnID
	by   float64
}

// nudge is by how much the readings of weighed weft are moved to see what follows.
const nudge = 0.01

// follows asks what of the count of a weft, if it is one yarn, is in its take-up.
func (w *Weaver) follows(b stash.ProjectFacts, k key, take levels.Vector) follows {
	yarns := w.shelf.yarns(k.yarns[widthwise])
	if len(yarns) != 1 || w.tally(k, widthwise, take)[ofYarn]+w.tally(k, widthwise, take)[ofCloth] == 0 {
		return follows{}
	}
	path := w.path(k, widthwise)
	share, known := w.shared[path]
	if !known {
		share = w.shareOfCount(b, k, path)
		w.shared[path] = share
	}
	return follows{yarns[0].ID, share * max(0, w.shelf.doubtOf(yarns[0])-commonError)}
}

// shareOfCount is how much of an error of the count of a weft is in the take-up that was
// learned at a path: by what a little more in its readings makes of it.
func (w *Weaver) shareOfCount(b stash.ProjectFacts, k key, path levels.Path) float64 {
	nudged := make([]levels.Piece, len(w.lessons))
	for i, l := range w.lessons {
		if nudged[i] = l; slices.Equal(w.made[i].key.yarns[widthwise], k.yarns[widthwise]) {
			nudged[i].Readings = slices.Clone(l.Readings)
			for j, r := range l.Readings {
				if r.Name == crimpWeft {
					nudged[i].Readings[j].Value += nudge
				}
			}
		}
	}
	h, fixed := w.handbook(b, k, widthwise).Handbook, given(b, widthwise)
	was, _ := w.models[widthwise].Next(path, h).Given(fixed...).Moments()
	is, _ := levels.Learn(nudged).Next(path, h).Given(fixed...).Moments()
	return max(0, (is[weftBend]-was[weftBend])/nudge)
}

// Settled says that the project sets every loss.
func (s Set) Settled() bool {
	return s.EndsSettled() && s.WeftTakeUp.Given && s.ShrinkWidth.Given && s.DrawIn.Given
}

// EndsSettled says that the project sets every loss along the warp, so that no end is
// longer than it says; the strain follows from two others.
func (s Set) EndsSettled() bool { return s.TakeUp.Given && s.ShrinkLength.Given && s.Stretch.Given }

// gain and loss are by how much a ratio moves when its logarithm does.
func gain(r measure.Ratio, by float64) measure.Ratio {
	return measure.RatioOf((1 + r.Float()) * by)
}
func loss(r measure.Ratio, by float64) measure.Ratio { return measure.RatioOf((1 - r.Float()) * by) }

// factors are independent standard errors that make up the covariance of a forecast:
// the columns of its Cholesky factor, those of nothing left out.
func factors(f levels.Forecast) []levels.Vector {
	_, c := f.Moments()
	var out []levels.Vector
	for j := range c {
		if c[j][j] < 1e-10 {
			continue
		}
		var column levels.Vector
		for i := range c {
			column[i] = c[i][j] / math.Sqrt(c[j][j])
		}
		for a := range c {
			for b := range c {
				c[a][b] -= column[a] * column[b]
			}
		}
		out = append(out, column)
	}
	return out
}
