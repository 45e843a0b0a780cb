package levels

import (
	"math"
	"testing"
)

// A wool warp that a weaver measured and published: 90 in wound, 17 in left at both
// ends, 75 in on the tape, 65 in off the loom, not washed. The expected figures are those
// of an independent prototype of the same equations in Python (numpy, scipy), 2026-11-27.
func published() (Handbook, []Reading) {
	h := Handbook{Vector{.030, .025, .065, 0}, Vector{.015, .022, .040, .005}}
	const s, w, t, l = 2286.0, 431.8, 1905.0, 1651.0
	f := t / (t + w)
	return h, []Reading{
		{Take: Vector{1, -f, 0, 0}, Value: math.Log((t + w) / s),
			Errors: []Error{{"wound", -.007}, {"waste", 10 / (t + w)}, {"tape", f * 3 / t}}},
		{Take: Vector{1, 0, 1, 0}, Value: math.Log(t / l),
			Errors: []Error{{"tape", 3.0 / t}, {"off", -4.0 / l}}},
	}
}

func close(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.6f, want %.6f", what, got, want)
	}
}

func TestOnePublishedPieceTeachesWhatThePrototypeSays(t *testing.T) {
	h, readings := published()
	m := Learn([]Piece{{Path{"wool", "y", "c"}, h, readings}})
	for i, want := range []float64{.0028, .0069, .0152, .0298, .0520, .0807, .1114, .1363, .1469,
		.1384, .1129, .0791, .0474, .0242, .0106, .0040, .0013} {
		var got float64
		for j := range taus {
			got += m.weights[i*taus+j]
		}
		close(t, "weight of a scatter", got, want, 6e-5)
	}
	for j, want := range []float64{.0470, .1810, .3451, .2931, .1117, .0202, .0018} {
		var got float64
		for i := range kappas {
			got += m.weights[i*taus+j]
		}
		close(t, "weight of a spread", got, want, 6e-5)
	}
	middle := kappas/2*taus + taus/2
	mean, cov := m.down(middle, m.line(&Path{"wool", "y", "c"}))
	for i, want := range (Vector{.43256, -.16024, .79612, 0}) {
		close(t, "mean", mean[i], want, 2e-5)
		close(t, "variance", cov[i][i]-.25, (Vector{.66085, .55153, .26704, 1})[i]-.25, 2e-5)
	}
	close(t, "covariance", cov[0][1], .32868, 2e-5)
	mean, cov = m.down(middle, m.line(&Path{"wool", "n", "c"}))
	for i, want := range (Vector{.17303, -.0641, .31845, 0}) {
		close(t, "mean of another wool", mean[i], want, 2e-5)
		close(t, "variance of another wool", cov[i][i], (Vector{.94574, .92825, .88273, 1})[i],
			2e-5)
	}
}

// The quantiles of the prototype, in millimetres.
func TestForecastHasThePrototypesQuantiles(t *testing.T) {
	h, readings := published()
	f := Learn([]Piece{{Path{"wool", "y", "c"}, h, readings}}).Next(Path{"wool", "y", "c"}, h)
	tape := func(th Vector) (float64, Vector) {
		return math.Log(1651) + th[0] + th[2] + th[3], Vector{1, 0, 1, 1}
	}
	warp := func(th Vector) (float64, Vector) {
		x := 1905 * math.Exp(th[1])
		return math.Log(x+431.8) - th[0], Vector{-1, x / (x + 431.8), 0, 0}
	}
	for i, p := range []float64{.025, .5, .95, .975} {
		close(t, "tape", f.Quantile(p, tape), []float64{1738.5, 1880.0, 1971.6, 1996.1}[i], .3)
		close(t, "warp", f.Quantile(p, warp), []float64{2215.2, 2295.7, 2367.8, 2387.2}[i], .3)
	}
	close(t, "below", f.Below(2367.8, warp), .95, 1e-3)
	for p := .0001; p < 1; p += .0101 {
		close(t, "below a quantile", f.Below(f.Quantile(p, warp), warp), p, 1e-12)
	}
}
