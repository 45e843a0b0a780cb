package making

import (
	"math"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Leeway is one standard uncertainty of what an end and the weft of a project take, as
// shares of them, by all that is uncertain in the weaving.
type Leeway struct{ End, Weft float64 }

// Estimate is a project with its losses filled in, as Plan does it, for those who reckon it
// at many sizes.
type Estimate struct {
	// Project is filled in for the size that was asked for.
	Project stash.ProjectFacts
	Leeway  Leeway
	s       Shelf
	set     learn.Set
}

// Estimate fills a project in.
func (s Shelf) Estimate(b stash.ProjectFacts) (Estimate, error) {
	s, _ = s.withCounts(b)
	f, err := s.fill(b)
	if err != nil {
		return Estimate{}, err
	}
	l, err := s.leewayOf(f)
	return Estimate{f.project, l, s, f.set}, err
}

// At is what a size needs, in the middle and with ends that are long enough for 19 of 20
// pieces, as a plan winds them where there is yarn for it. It fails where the loom does not
// take them.
func (e Estimate) At(width, length measure.Length) (middle, long planner.Needs, err error) {
	b := e.Project
	b.Width, b.Length = width, length
	spec := e.s.specOf(b)
	if middle, err = planner.Need(spec); err != nil {
		return middle, long, err
	}
	spec.Loom.Margin = windingOf(e.set, middle).margin()
	long, err = planner.Need(spec)
	return middle, long, err
}

// leewayOf gives the leeway of a project that leaves its losses open.
func (s Shelf) leewayOf(f filling) (Leeway, error) {
	b := f.project
	if len(f.doubts) == 0 {
		return Leeway{}, nil
	}
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
