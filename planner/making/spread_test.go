package making

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"endsmeet/planner"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// TestSpreadIsThatOfManyPieces draws losses and makes pieces of them; the spread
// of their sizes is held against the formula (mean and standard deviation by
// gonum/stat). The formula is of the first order, the losses are small.
func TestSpreadIsThatOfManyPieces(t *testing.T) {
	b := stash.ProjectFacts{Width: 300, Length: 1500}
	set := learn.Set{
		Stretch: learn.Figure{Value: 5 * measure.Percent, U: 2 * measure.Percent}, ShrinkLength: learn.Figure{Value: 8 * measure.Percent, U: 3 * measure.Percent},
		DrawIn: learn.Figure{Value: 4 * measure.Percent, U: 2 * measure.Percent}, ShrinkWidth: learn.Figure{Value: 6 * measure.Percent, U: 3 * measure.Percent},
	}
	r := rand.New(rand.NewPCG(7, 11))
	draw := func(f learn.Figure) float64 { return (float64(f.Value) + float64(f.U)*r.NormFloat64()) / 1e6 }
	mean := func(f learn.Figure) float64 { return float64(f.Value) / 1e6 }
	tape := 1500 * (1 + mean(set.Stretch)) / (1 - mean(set.ShrinkLength))
	reed := 300 / (1 - mean(set.DrawIn)) / (1 - mean(set.ShrinkWidth))
	lengths, widths := make([]float64, 200_000), make([]float64, 200_000)
	for i := range lengths {
		lengths[i] = tape / (1 + draw(set.Stretch)) * (1 - draw(set.ShrinkLength))
		widths[i] = reed * (1 - draw(set.DrawIn)) * (1 - draw(set.ShrinkWidth))
	}
	spec := planner.Spec{Size: planner.Size{Width: b.Width, Length: b.Length}, Losses: planner.Losses{
		Stretch: set.Stretch.Value, WetLength: set.ShrinkLength.Value, DrawIn: set.DrawIn.Value, WetWidth: set.ShrinkWidth.Value,
	}}
	var got Spread
	got.Width, got.Length = spec.Spread(set.Doubts())
	for name, c := range map[string]struct{ got, want float64 }{
		"length": {float64(got.Length), stat.StdDev(lengths, nil)}, "width": {float64(got.Width), stat.StdDev(widths, nil)},
	} {
		if math.Abs(c.got-c.want) > 0.02*c.want+0.5 {
			t.Errorf("%s: %g mm, drawn %g mm", name, c.got, c.want)
		}
	}
}

func TestLossesThatAreGivenLeaveNoSpread(t *testing.T) {
	b := scarf()
	s := stock(t, of("c", cotton, 300), of("w", wool, 200))
	if o := planned(t, s, b); o.Spread != (Spread{}) {
		t.Errorf("%+v", o.Spread)
	}
	b.ShrinkLength, b.DrawIn = nil, nil
	if o := planned(t, s, b); o.Spread.Length <= 0 || o.Spread.Width <= 0 {
		t.Errorf("%+v", o.Spread)
	}
}
