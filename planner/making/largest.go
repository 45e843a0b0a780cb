package making

import (
	"cmp"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/kinds"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Largest is the greatest size that the yarn of a project can be relied on for, and the
// sizes beside it.
type Largest struct {
	// Project has the size; Threaded are its ends.
	Project  stash.ProjectFacts
	Threaded int
	// Open is what the project left open: "width", "length" or "size" for both, of which
	// the shape is kept.
	Open string
	// Frontier is the sizes beside it, Binding what keeps it from being larger.
	Frontier []fit.Point
	Binding  string
}

// IsOpen says whether a project leaves its width or its length open.
func IsOpen(b stash.ProjectFacts) bool { return b.Width <= 0 && b.EndsGiven() == 0 || b.Length <= 0 }

// PlanOpen is Plan of a project whose size may be open: then, or where the largest is asked
// for, at the greatest size that can be relied on, which it tells.
func PlanOpen(s Shelf, b stash.ProjectFacts, largest bool) (Outcome, *Largest, error) {
	if !largest && !IsOpen(b) {
		o, err := PlanEnds(s, b, 0)
		return o, nil, err
	}
	l, err := LargestOf(s, b, 0)
	if err != nil {
		return Outcome{}, nil, err
	}
	o, err := PlanEnds(s, l.Project, l.Threaded)
	return o, &l, err
}

// LargestOf finds the greatest size of a project whose width or length is open, or, with
// both given or neither, of the shape of the project or of its kind; with so many threaded
// ends, unless that is zero, of any length. A project of which nothing can be relied on is
// refused, with what runs out first.
func LargestOf(s Shelf, b stash.ProjectFacts, threaded int) (Largest, error) {
	out := Largest{Open: openOf(b)}
	threaded = cmp.Or(threaded, b.EndsGiven())
	if threaded > 0 {
		out.Open, b.Width = "length", cmp.Or(b.Width, usualWidth)
	}
	b, err := shaped(b, out.Open)
	if err != nil {
		return out, err
	}
	s, _ = s.withCounts(b)
	f, err := s.fill(b)
	if err != nil {
		return out, err
	}
	result, r, err := s.frontierOf(f, out.Open, threaded)
	if err != nil {
		return out, err
	}
	points := result.Frontier
	if threaded == 0 {
		points = fitting(points, b, out.Open)
	}
	rec, err := fit.Recommend(r, r.Want, points)
	if err == nil && rec == nil {
		err = s.noneReliable(b, result)
	}
	if err != nil {
		return out, err
	}
	b.Width, b.Length = rec.Point.Width, rec.Length
	if b.Length, err = s.relied(b, rec.Point.Threaded); err != nil {
		return out, err
	}
	out.Frontier = shapely(with(result.Frontier, rec.Point), b)
	out.Project, out.Threaded, out.Binding = b, rec.Point.Threaded,
		rec.Point.Binding.String()
	return out, nil
}

// noneReliable refuses a project no size of which can be relied on.
func (s Shelf) noneReliable(b stash.ProjectFacts, result fit.Result) error {
	why := cmp.Or(result.Binding.String(), "yarn") + " runs out first"
	if left := s.leftOutOf(b, "", s.gather(b).leftOut); left != "" {
		why += "; " + left + ", and is not counted"
	}
	return stash.Refuse(stash.CodeRefused,
		"name more yarn, or let it be smaller with --least-width and --least-length",
		"no size of this project can be relied on: the %s", why)
}

// with puts a point that was worked out by itself in the place of that of as many ends.
func with(points []fit.Point, one fit.Point) []fit.Point {
	for i, p := range points {
		if p.Threaded == one.Threaded {
			points[i] = one
		}
	}
	return points
}

// relied is the length of a project, or a little less where a plan of it, which knows more
// than the frontier does, would not be sure.
func (s Shelf) relied(b stash.ProjectFacts, threaded int) (measure.Length, error) {
	for range 20 {
		o, err := PlanEnds(s.Terse(), b, threaded)
		if err != nil || o.Verdict != chance.Likely || b.Length <= 1 {
			return b.Length, err
		}
		b.Length -= max(1, b.Length/250)
	}
	return b.Length, nil
}

// openOf is what a project leaves open.
func openOf(b stash.ProjectFacts) string {
	switch {
	case b.Width <= 0 && b.Length > 0:
		return "width"
	case b.Length <= 0 && b.Width > 0:
		return "length"
	}
	return "size"
}

// usualWidth is where the search for an open width begins, where nothing says more.
const usualWidth = 30 * measure.Centimetre

// shaped gives a project a size to begin with, so that all that does not hang on it can be
// reckoned: that of its kind where it has none.
func shaped(b stash.ProjectFacts, open string) (stash.ProjectFacts, error) {
	switch k, known := kinds.Named(kinds.Usual(), b.Kind); {
	case open == "width":
		b.Width = cmp.Or(b.MostWidth, b.LeastWidth, k.Facts.Width, usualWidth)
	case open == "length":
		b.Length = cmp.Or(b.MostLength, b.LeastLength, k.Facts.Length, 4*b.Width)
	case b.Width <= 0 && (!known || b.Kind == ""):
		return b, stash.Refuse(stash.CodeInput,
			"give --width or --length and the other is found; or --kind, whose shape is kept",
			"the project has no size")
	case b.Width <= 0:
		b.Width, b.Length = k.Facts.Width, k.Facts.Length
	}
	return b, nil
}

// widest is how many times wider or narrower than a width that may be any the sizes are
// looked for, where the project says no range.
const widest = 4

// frontierOf solves for every size of the range of a project.
func (s Shelf) frontierOf(f filling, open string, threaded int) (fit.Result, fit.Request, error) {
	b := f.project
	spec := s.specOf(b)
	if _, err := planner.Need(spec); err != nil {
		return fit.Result{}, fit.Request{}, err
	}
	pool := s.gather(b)
	if pool.warp == 0 || pool.weft == 0 {
		role := stash.RoleWarp
		if pool.warp > 0 {
			role = stash.RoleWeft
		}
		return fit.Result{}, fit.Request{},
			stash.Refuse(stash.CodeRefused, "name some with --"+string(role)+" YARN", "%s",
				s.noYarn(b, role, pool.leftOut))
	}
	r, err := s.request(f, spec, pool)
	if err != nil {
		return fit.Result{}, r, err
	}
	r.Want, r.Sure, r.Bare = largestWant(b, open), true, true
	if once := b.StripeEnds(); once > 0 {
		r.Ends.Modulus, r.Ends.Least = once, 0 // a list of ends is meant as it is, as --ends is
	}
	if threaded > 0 {
		r.Ends.Min, r.Ends.Max, r.Ends.Modulus, r.Ends.Least = threaded, threaded, 1, 0
		r.Want = fit.Want{MinLength: b.LeastLength, MaxLength: b.MostLength}
	}
	result, err := fit.Solve(r)
	r.Want.Rely, r.Bare = true, false
	if unknown, ok := asUnknown(err); ok {
		return result, r, stash.Refuse(stash.CodeRefused, slices.Concat(s.unknownLengths(unknown),
			[]string{"measure it first"})[0], "the length of an item must be known first")
	}
	return result, r, err
}

// largestWant is the wish for the greatest size, with its range; what can be relied on of
// it is known when the frontier is.
func largestWant(b stash.ProjectFacts, open string) fit.Want {
	w := fit.Want{
		MinWidth:  cmp.Or(b.LeastWidth, b.Width/widest),
		MaxWidth:  cmp.Or(b.MostWidth, b.Width*widest),
		MinLength: b.LeastLength, MaxLength: b.MostLength,
	}
	switch open {
	case "width":
		w.Length = b.Length
	case "length":
		w = wantOf(b) // beside a width that is given, those that another piece is offered
		w.Length = 0
	default:
		w.Width, w.Length, w.Shape = widest*b.Width, widest*b.Length, true
	}
	return w
}

// unlike is how much broader or narrower for its length a size may be than the one that is
// wanted, to be offered beside it (common practice, no source).
const unlike = 3

// shapely are the sizes of a frontier that are still something like the project: a blanket
// is not offered as a ribbon.
func shapely(points []fit.Point, b stash.ProjectFacts) []fit.Point {
	if b.Width <= 0 || b.Length <= 0 {
		return points
	}
	return slices.DeleteFunc(slices.Clone(points), func(p fit.Point) bool {
		broad, wanted := p.Width*b.Length, p.Length*b.Width
		if p.HasLength95 {
			wanted = p.Length95 * b.Width
		}
		return broad > unlike*wanted || broad*unlike < wanted
	})
}

// fitting are the points of a frontier that are as wide, or as long, as a project says.
func fitting(points []fit.Point, b stash.ProjectFacts, open string) []fit.Point {
	return slices.DeleteFunc(slices.Clone(points), func(p fit.Point) bool {
		return open == "length" && p.Width < b.Width || open == "width" && p.Length95 < b.Length
	})
}
