package learn

import (
	"math"

	"endsmeet/planner"
	"endsmeet/stash/measure"
)

// scatterPicks is how far the picks beaten differ from piece to piece, and scatterWaste
// how far the loom waste does; one standard deviation (common practice, no source).
const (
	scatterPicks = 20_000 * measure.Ratio(1)
	scatterWaste = 3 * measure.Centimetre
)

// Doubts are the independent errors of weaving the next piece. A project that states
// every loss is taken at its word, for picks and waste too: it has none.
func (s Set) Doubts() []planner.Doubt {
	var out []planner.Doubt
	for _, d := range []struct {
		of     Figure
		losses planner.Losses
	}{
		{s.TakeUp, planner.Losses{WarpTakeUp: s.TakeUp.U}},
		{s.WeftTakeUp, planner.Losses{WeftTakeUp: s.WeftTakeUp.U}},
		{s.ShrinkLength, planner.Losses{WetLength: s.ShrinkLength.U}},
		{s.ShrinkWidth, planner.Losses{WetWidth: s.ShrinkWidth.U}},
		{s.Stretch, planner.Losses{Stretch: s.Stretch.U}},
		{s.DrawIn, planner.Losses{DrawIn: s.DrawIn.U}},
	} {
		if d.of.U > 0 {
			out = append(out, planner.Doubt{Name: "weaving: " + d.of.Name, Losses: d.losses})
		}
	}
	if len(out) == 0 {
		return nil
	}
	return append(out, planner.Doubt{Name: "weaving: picks", Picks: scatterPicks}, planner.Doubt{Name: "weaving: waste", Waste: scatterWaste})
}

// Repeat marks losses that were measured on one piece, of which another is to be woven:
// the two differ by the scatter of both.
func (s *Set) Repeat(names []string) {
	scatter := map[string]float64{
		stretch: scatterStretch, shrinkLength: scatterShrink, shrinkWidth: scatterShrink, drawIn: scatterDrawIn,
	}
	for _, f := range []*Figure{&s.Stretch, &s.ShrinkLength, &s.ShrinkWidth, &s.DrawIn} {
		for _, name := range names {
			if f.Name == name {
				f.U = measure.RatioOf(math.Sqrt2 * scatter[name])
			}
		}
	}
}
