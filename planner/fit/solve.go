package fit

import (
	"sort"

	"endsmeet/stash/measure"
)

// Point is the greatest size for one end count.
type Point struct {
	// Threaded ends, and all ends with the floats.
	Threaded, Ends int
	// Width and Length are finished, at the level asked for.
	Width, Length measure.Length
	// Length95 is the greatest length that fits with a probability of 95 %, on the
	// middle estimate and its uncertainties; meaningful where HasLength95.
	Length95    measure.Length
	HasLength95 bool
	// Binding is what keeps it from being longer.
	Binding Binding
}

// Result is the answer to a Request.
type Result struct {
	// Frontier holds a point for every allowed end count that fits, by end count.
	Frontier []Point
	// Recommended is nil where nothing fits at all.
	Recommended *Recommended
	// Binding says what keeps everything from fitting where Frontier is empty.
	Binding Binding
}

// Solve returns the greatest sizes that fit. It fails for a request that makes no
// sense and, with an *UnknownLengthError, where a package to be used has no known
// length. That nothing fits is an answer, not an error.
func Solve(r Request) (Result, error) {
	if err := r.check(); err != nil {
		return Result{}, err
	}
	s := newSolver(&r)
	res := Result{Frontier: s.frontier()}
	if len(res.Frontier) == 0 {
		res.Binding = s.whyNothing()
		return res, nil
	}
	pick := choose(r.Want, res.Frontier)
	rec, err := s.recommend(res.Frontier[pick])
	if err != nil {
		return Result{}, err
	}
	res.Recommended = rec
	if r.Sure {
		err = s.addSure(res.Frontier)
	}
	if !r.Bare {
		res.Frontier[pick].Length95, res.Frontier[pick].HasLength95 = rec.Point.Length95, true
	}
	return res, err
}

// frontier solves every allowed end count.
func (s *solver) frontier() []Point {
	var out []Point
	most := s.mostEnds()
	step := max(1, s.r.Ends.Modulus)
	for e := s.fewestEnds(most); e <= most; e += step {
		if s.r.Want.MaxWidth > 0 && s.r.Geometry.Width(e) > s.r.Want.MaxWidth {
			break
		}
		p, ok := s.point(e)
		if ok {
			out = append(out, p)
		} else if s.r.Plan.Kind == anyMix {
			break // still more ends need still more yarn
		}
	}
	return out
}

// fewestEnds is the least number of threaded ends that is allowed and as wide as wanted.
func (s *solver) fewestEnds(most int) int {
	step := max(1, s.r.Ends.Modulus)
	first := int(s.r.Ends.counts().From(int64(s.r.Ends.Min)))
	return first + step*sort.Search(max(0, most-first)/step+1, func(n int) bool {
		return s.r.Geometry.Width(first+n*step) >= s.r.Want.MinWidth
	})
}

// mostEnds bounds the threaded ends by what is allowed and by the yarn at the shortest length.
func (s *solver) mostEnds() int {
	s.measureCaps(max(1, int64(s.r.Geometry.WarpEnd(max(1, s.r.Want.MinLength)))))
	most := 0
	for n := range s.sources {
		most += s.roomOf(s.caps.plain[n] + s.caps.mixed[n])
	}
	most -= s.r.Ends.Floats
	if s.r.Ends.Max > 0 {
		most = min(most, s.r.Ends.Max)
	}
	for _, l := range s.r.Ends.Limits {
		most = min(most, l.Ends)
	}
	return most
}

// point finds the greatest length for threaded ends.
func (s *solver) point(threaded int) (Point, bool) {
	lf, bind, ok := s.greatestLength(threaded)
	if !ok {
		return Point{}, false
	}
	return Point{
		Threaded: threaded, Ends: threaded + s.r.Ends.Floats,
		Width: s.r.Geometry.Width(threaded), Length: measure.Length(lf), Binding: bind,
	}, true
}

// greatestLength finds the greatest length and what keeps it from more.
func (s *solver) greatestLength(threaded int) (int64, Binding, bool) {
	fixed, ok := s.layout(threaded)
	if !ok {
		return 0, Binding{Kind: Range}, false
	}
	top, bind := s.longest(), Binding{Kind: Range}
	if s.r.Want.MaxLength > 0 {
		top = min(top, int64(s.r.Want.MaxLength))
	}
	if reach := s.r.Reach; reach.Length > 0 && int64(reach.Length) < top {
		top, bind = int64(reach.Length), Binding{Limited, reach.Name}
	}
	lf := greatest(top, s.near, func(lf int64) bool { return s.try(threaded, lf, fixed).ok })
	s.near = lf
	if lf == top && lf > 0 {
		return lf, bind, lf >= int64(s.r.Want.MinLength)
	}
	return lf, s.try(threaded, lf+1, fixed).bind, lf > 0 && lf >= int64(s.r.Want.MinLength)
}

// longest is the greatest length of a warp package; no piece is longer than its
// end, and no end than its package.
func (s *solver) longest() int64 {
	var most int64
	for _, c := range s.sources {
		for _, i := range c.all() {
			most = max(most, s.length[i])
		}
	}
	return most + 1
}

// layout returns the bands of a plan that does not depend on the yarn, nil for a
// free one; false where the plan has no layout with so many ends.
func (s *solver) layout(threaded int) ([]Band, bool) {
	switch s.r.Plan.Kind {
	case anyMix:
		return []Band{{Ends: threaded}}, true
	case FreeStripes:
		return nil, true
	case FixedStripes:
		b := fixedBands(s.slots, threaded)
		return b, b != nil
	default:
		f := filler{slots: s.slots, least: s.r.Plan.MinStripe, greatest: s.r.Plan.MaxStripe}
		w := f.fill(threaded)
		if w == nil {
			return nil, false
		}
		return bands(s.slots, w), true
	}
}

// whyNothing says what keeps the least allowed size from fitting.
func (s *solver) whyNothing() Binding {
	step := max(1, s.r.Ends.Modulus)
	first := int(s.r.Ends.counts().From(int64(s.r.Ends.Min)))
	for _, l := range s.r.Ends.Limits {
		if l.Ends < first {
			return Binding{Limited, l.Name}
		}
	}
	for e := first; e <= first+1000*step; e += step {
		w := s.r.Geometry.Width(e)
		fixed, ok := s.layout(e)
		if !ok || w < s.r.Want.MinWidth {
			continue
		}
		if t := s.try(e, max(1, int64(s.r.Want.MinLength)), fixed); !t.ok {
			return t.bind
		}
	}
	return Binding{Kind: Range}
}
