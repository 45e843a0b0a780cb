package making

import (
	"math"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Leeway is one standard uncertainty of what an end and the weft of a project take, as
// shares of them, by all that is uncertain in the weaving.
type Leeway struct{ End, Weft float64 }

// LeewayOf gives the leeway of a project that leaves its losses open.
func (s Shelf) LeewayOf(b stash.ProjectFacts) (Leeway, error) {
	f, err := s.fill(b)
	if err != nil || len(f.doubts) == 0 {
		return Leeway{}, err
	}
	b = f.project
	spec := s.specOf(b)
	geometry := func(spec planner.Spec) (fit.Geometry, error) { return s.geometry(b, spec) }
	g, err := geometry(spec)
	if err != nil {
		return Leeway{}, err
	}
	doubts, err := fit.Doubts(spec, f.doubts, geometry)
	threaded := spec.ThreadedFor()
	return Leeway{
		End: spreadOf(doubts, g,
			func(g fit.Geometry) measure.Length { return g.WarpEnd(b.Length) }),
		Weft: spreadOf(doubts, g,
			func(g fit.Geometry) measure.Length { return g.Weft(threaded, b.Length) }),
	}, err
}

// spreadOf is how far doubts move a need, as a share of it.
func spreadOf(doubts []fit.Doubt, g fit.Geometry, need func(fit.Geometry) measure.Length) float64 {
	var sum float64
	for _, d := range doubts {
		by := float64(need(d.Above)-need(d.Below)) / 2
		sum += by * by
	}
	if whole := need(g); whole > 0 {
		return math.Sqrt(sum) / float64(whole)
	}
	return 0
}
