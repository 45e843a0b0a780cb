package learn

import (
	"math"
	"strconv"

	"endsmeet/planner"
	"endsmeet/planner/levels"
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
	return append(out, planner.Doubt{Name: "weaving: waste", Waste: scatterWaste})
}

// Settled says that the project sets every loss; the strain follows from two others, and
// how many picks are beaten is no loss.
func (s Set) Settled() bool {
	for _, f := range s.Figures() {
		if !f.Given && f.Name != strained && f.Name != beaten {
			return false
		}
	}
	return true
}

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
