package making

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distmv"

	"endsmeet/planner"
	"endsmeet/planner/learn"
	"endsmeet/planner/levels"
	"endsmeet/stash"
)

// TestSpreadIsThatOfManyPieces draws losses as they err together and makes pieces of
// them; the spread of their sizes is held against the formula (normal by gonum/distmv,
// standard deviation by gonum/stat). The formula is of the first order, the losses are small.
func TestSpreadIsThatOfManyPieces(t *testing.T) {
	set := learn.Losses(learn.Question{Project: stash.ProjectFacts{Washing: "hand"}}, nil,
		learn.Shelf{Settings: stash.DefaultSettings()})
	draw := func(f levels.Forecast) *distmv.Normal {
		mean, cov := f.Moments()
		c := mat.NewSymDense(levels.N, nil)
		for i := range cov {
			for j := i; j < levels.N; j++ {
				c.SetSym(i, j, cov[i][j])
			}
		}
		n, _ := distmv.NewNormal(mean[:], c, rand.NewPCG(7, 11))
		return n
	}
	along, across := draw(set.Along), draw(set.Across)
	lengths, widths := make([]float64, 100_000), make([]float64, 100_000)
	for i := range lengths { // strain, bend, washing of a tape; draw-in and washing of a reed
		l, w := along.Rand(nil), across.Rand(nil)
		lengths[i], widths[i] = math.Exp(-l[0]-l[2]-l[3]), math.Exp(-w[0]-w[1])
	}
	spec := planner.Spec{Size: planner.Size{Width: 300, Length: 1500}, Losses: planner.Losses{
		Stretch: set.Stretch.Value, WetLength: set.ShrinkLength.Value, DrawIn: set.DrawIn.Value,
		WetWidth: set.ShrinkWidth.Value,
	}}
	var got Spread
	got.Width, got.Length = spec.Spread(set.Doubts())
	for name, c := range map[string]struct{ got, want float64 }{
		"length": {float64(got.Length) / 1500, stat.StdDev(lengths, nil) / stat.Mean(lengths, nil)},
		"width":  {float64(got.Width) / 300, stat.StdDev(widths, nil) / stat.Mean(widths, nil)},
	} {
		if math.Abs(c.got-c.want) > 0.03*c.want {
			t.Errorf("%s: %g, drawn %g", name, c.got, c.want)
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
