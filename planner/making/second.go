package making

import (
	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Second is the answer to "does what is left make a second piece?".
type Second struct {
	// Project that was reckoned with: the first piece's own figures filled in.
	Project stash.ProjectFacts
	Losses  []Loss
	// Verdict and Probability are for a second piece of the size of the first.
	Verdict     chance.Verdict
	Probability float64
	Binding     string
	// Recommended is the size to rely on, nil where there is none.
	Recommended *fit.Recommended
	// LotChanges say where dye lots meet in it, now or where one runs out.
	LotChanges []fit.LotChange
	// Low, Middle and High are the greatest length at the recommended width on
	// the low, middle and high lengths of the packages.
	Low, Middle, High measure.Length
	Frontier          []fit.Point
	// Edges is how the ends of the recommended size come out at the edge woven first,
	// OtherEdges at the other; nil where none is recommended.
	Edges, OtherEdges *planner.EdgeAnswer
	// Needs are those of the recommended size.
	Needs          planner.Needs
	LeftOut        []LeftOut
	Notes          []string
	UnknownLengths []string
	// Advice is the measurement that would help most, with the range of sizes
	// that it would settle; nil where none would.
	Advice *fit.Advice
}

// Again answers for another piece like one that was finished, from what is
// left, with the first piece's own figures: real losses, real waste, real use.
func Again(s Shelf, piece stash.Piece) (Second, error) {
	if piece.Plan == nil {
		return Second{}, stash.Refuse(stash.CodeRefused, "", "%s was never planned", piece.Name)
	}
	s, b, losses := s.ownFigures(piece)
	b.Pieces = 1
	return s.Sizes(b, losses)
}

// Sizes gives the frontier of sizes that the packages of a project allow, and
// the one recommended, which can be relied on: the size wanted where it fits with
// 95 %, else the greatest of the same shape within the project's range that does.
func (s Shelf) Sizes(b stash.ProjectFacts, losses []Loss) (Second, error) {
	f, err := s.fill(b)
	if err != nil {
		return Second{}, err
	}
	b = f.project
	out := Second{Project: b, Losses: append(losses, f.losses...)}
	spec := s.specOf(b)
	needs, err := planner.Need(spec)
	if err != nil {
		return out, err
	}
	pool := s.gather(b)
	out.LeftOut = pool.leftOut
	if pool.warp == 0 || pool.weft == 0 {
		out.Verdict, out.Binding = chance.Short, "warp"
		if pool.warp > 0 {
			out.Binding = "weft"
		}
		return out, nil
	}
	r, err := s.request(f, spec, pool)
	if err != nil {
		return out, err
	}
	err = s.sizes(&out, r, needs)
	return out, err
}

func (s Shelf) sizes(out *Second, r fit.Request, needs planner.Needs) error {
	b := out.Project
	r.Want, r.Sure = wantOf(b), true
	odds, err := fit.Chance(r, needs.Threaded, b.Length)
	if err == nil && b.MixLots == nil && odds.Verdict != chance.Sure && r.Lots != fit.AnyLot {
		r.Lots = fit.AnyLot // as Plan does where one lot alone is not sure to do
		odds, err = fit.Chance(r, needs.Threaded, b.Length)
	}
	if unknown, ok := asUnknown(err); ok {
		out.Verdict, out.Binding, out.UnknownLengths = chance.Unknown, "length of an item",
			s.unknownLengths(unknown)
		return nil
	}
	if err != nil {
		return err
	}
	r.Bare = odds.Verdict != chance.Sure // another size is proposed then
	result, err := fit.Solve(r)
	if err != nil {
		return err
	}
	r.Bare = false
	if rec := result.Recommended; rec != nil &&
		(rec.Length < b.Length || rec.Point.Threaded < needs.Threaded ||
			rec.Chance.Verdict != chance.Sure) {
		r.Want.Shape, r.Want.Rely = true, true
		if result.Recommended, err = fit.Recommend(r, r.Want, result.Frontier); err != nil {
			return err
		}
	}
	out.Frontier, out.Recommended, out.Binding = shapely(result.Frontier, b), result.Recommended,
		result.Binding.String()
	out.LotChanges = s.lotsOf(r, out.Recommended, b)
	return s.judge(out, r, needs, odds)
}

// lotsOf says where dye lots meet in a size that is proposed.
func (s Shelf) lotsOf(r fit.Request, rec *fit.Recommended, b stash.ProjectFacts) []fit.LotChange {
	if rec == nil || r.Lots != fit.AnyLot {
		return nil
	}
	o := Outcome{Allotments: s.allot(b, rec.Shares), LotChanges: rec.LotChanges}
	s.goOn(&o, s.only(r, o.Allotments, samePackage), r)
	return o.LotChanges
}

// wantOf is the size wanted with its range. Where a project gives no range of
// widths, they go from half to twice the one wanted.
func wantOf(b stash.ProjectFacts) fit.Want {
	w := fit.Want{
		Width: b.Width, Length: b.Length, MinWidth: b.LeastWidth, MaxWidth: b.MostWidth,
		MinLength: b.LeastLength, MaxLength: b.MostLength,
	}
	if w.MinWidth == 0 {
		w.MinWidth = b.Width / 2
	}
	if w.MaxWidth == 0 {
		w.MaxWidth = 2 * b.Width
	}
	return w
}

// judge says how sure the size of the first piece is, and how the recommended
// one comes out at the edges.
func (s Shelf) judge(out *Second, r fit.Request, needs planner.Needs, a fit.Odds) error {
	out.Probability, out.Verdict = a.Probability, a.Verdict
	rec := out.Recommended
	if rec == nil {
		return nil
	}
	if out.Binding = rec.Binding.String(); rec.Binding.Kind == fit.Nothing &&
		out.Verdict != chance.Sure {
		out.Binding = a.First.String()
	}
	spec := needs.Spec
	spec.Size.Length = rec.Length
	n, err := planner.NeedForEnds(spec, rec.Point.Threaded)
	if err != nil {
		return err
	}
	edges, other, err := edgesOf(out.Project, n)
	if err != nil {
		return err
	}
	out.Needs, out.Edges, out.OtherEdges = n, &edges, &other
	if a.Probability < chance.AsGoodAsCertain || rec.Length < out.Project.Length {
		if out.Advice, err = fit.Advise(r, rec, s.measurements(r)); err != nil {
			return err
		}
	}
	return s.levels(out, r)
}

// levels gives the length at the recommended width at each end of the ranges.
func (s Shelf) levels(out *Second, r fit.Request) error {
	threaded := out.Recommended.Point.Threaded
	r.Ends.Min, r.Ends.Max, r.Want, r.Sure, r.PutUps = threaded, threaded, fit.Want{}, false, nil
	r.Bare = true
	for _, level := range []struct {
		level fit.Level
		into  *measure.Length
	}{{fit.Low, &out.Low}, {fit.Middle, &out.Middle}, {fit.High, &out.High}} {
		r.Level = level.level
		result, err := fit.Solve(r)
		if err != nil {
			return err
		}
		if result.Recommended != nil {
			*level.into = result.Recommended.Length
		}
	}
	return nil
}
