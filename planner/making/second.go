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
	Project stash.ProjectFacts `json:"-"`
	Losses  []Loss             `json:"losses"`
	// Verdict, Probability and Binding are those of a plan of the size of the first, Why
	// says in full what one word for what runs out does not.
	Verdict     chance.Verdict `json:"verdict"`
	Probability float64        `json:"-"`
	Binding     string         `json:"runs_out_first"`
	Why         string         `json:"-"`
	// Recommended is the size to rely on, nil where there is none.
	Recommended *fit.Recommended `json:"-"`
	// Allotments say what each package gives for it, LotChanges where dye lots meet, now or
	// where one runs out.
	Allotments []stash.Allotment `json:"-"`
	LotChanges []fit.LotChange   `json:"-"`
	// Low, Middle and High are the greatest length at the recommended width on
	// the low, middle and high lengths of the packages.
	Low      measure.Length `json:"length_low_mm"`
	Middle   measure.Length `json:"length_middle_mm"`
	High     measure.Length `json:"length_high_mm"`
	Frontier []fit.Point    `json:"-"`
	// Edges is how the ends of the recommended size come out at the edge woven first,
	// OtherEdges at the other; nil where none is recommended.
	Edges, OtherEdges *planner.EdgeAnswer `json:"-"`
	// Needs are those of the recommended size.
	Needs          planner.Needs `json:"-"`
	LeftOut        []LeftOut     `json:"left_out"`
	UnknownLengths []string      `json:"measure_first"`
	// Advice is the measurement that would help most, with the range of sizes
	// that it would settle; nil where none would.
	Advice *fit.Advice `json:"-"`
}

// Again answers for another piece like one that was finished, from what is
// left, with the first piece's own figures: real losses, real waste, real use.
func Again(s Shelf, piece stash.Piece) (Second, error) {
	if piece.Plan == nil {
		return Second{}, stash.Refuse(stash.CodeRefused, "", "%s was never planned", piece.Name)
	}
	s, b, losses := s.ownFigures(piece)
	b.Pieces = 1
	return s.sizes(b, losses)
}

// sizes plans a project, and gives the frontier of sizes that its packages allow, and
// the one recommended, which can be relied on: the size wanted where its plan is sure,
// else the greatest of the same shape within the project's range of which a plan is.
func (s Shelf) sizes(b stash.ProjectFacts, losses []Loss) (Second, error) {
	s = s.Terse()
	o, err := Plan(s, b)
	if err != nil {
		return Second{}, err
	}
	out := Second{Project: o.Project, Losses: append(losses, o.Losses...), Verdict: o.Verdict,
		Probability: o.Probability, Binding: o.Binding, Why: o.Why, LeftOut: o.LeftOut,
		UnknownLengths: o.UnknownLengths}
	if o.None || o.Verdict == chance.Unknown {
		return out, nil
	}
	b.Warp = o.Project.Warp // of those named, what is woven
	f, err := s.fill(b)
	if err != nil {
		return out, err
	}
	r, err := s.request(f, s.specOf(f.project), s.gather(b))
	if err != nil {
		return out, err
	}
	if b.MixLots == nil && (o.Verdict != chance.Sure || len(o.LotChanges) > 0) {
		r.Lots = fit.AnyLot // as its plan does
	}
	r.Want, r.Sure = wantOf(f.project), true
	err = s.recommend(&out, b, o, r)
	if err == nil && out.Recommended == nil && r.Lots == fit.AnyLot && b.MixLots == nil {
		r.Lots = fit.WholeLots // no plan lets lots meet in one of several pieces
		err = s.recommend(&out, b, o, r)
	}
	return out, err
}

// recommend proposes a size: that of the plan where it is sure, else one with a plan of its
// own that is.
func (s Shelf) recommend(out *Second, b stash.ProjectFacts, o Outcome, r fit.Request) error {
	r.Bare = o.Verdict != chance.Sure // another size is proposed then
	result, err := fit.Solve(r)
	if err != nil {
		return err
	}
	r.Bare = false
	out.Frontier = shapely(result.Frontier, out.Project)
	rec := result.Recommended
	if rec != nil && o.Verdict != chance.Sure {
		r.Want.Shape, r.Want.Rely = true, true
		if rec, err = fit.Recommend(r, r.Want, result.Frontier); err != nil {
			return err
		}
	}
	if rec == nil {
		return nil
	}
	if o.Verdict != chance.Sure {
		if o, err = s.reliedOn(b, rec); err != nil || o.Verdict != chance.Sure {
			return err
		}
	}
	return s.propose(out, o, r, rec)
}

// reliedOn plans a size that is proposed, a little shorter where its plan is not sure.
func (s Shelf) reliedOn(b stash.ProjectFacts, rec *fit.Recommended) (Outcome, error) {
	threaded := rec.Point.Threaded
	b.Width, b.Length = rec.Point.Width, rec.Length
	var err error
	if b.Length, err = s.relied(b, threaded); err != nil {
		return Outcome{}, err
	}
	return PlanEnds(s, b, threaded)
}

// propose says what its plan says of the size proposed.
func (s Shelf) propose(out *Second, o Outcome, r fit.Request, rec *fit.Recommended) error {
	rec.Length, rec.Bands = o.Project.Length, o.Bands
	rec.Chance.Probability, rec.Chance.Bound, rec.Chance.Verdict = o.Probability, o.Bound, o.Verdict
	out.Recommended, out.Needs, out.Edges, out.OtherEdges = rec, o.Needs, &o.Edges, &o.OtherEdges
	out.Allotments, out.LotChanges = o.Allotments, o.LotChanges
	var err error
	if out.Probability < chance.AsGoodAsCertain || rec.Length < out.Project.Length {
		if out.Advice, err = fit.Advise(r, rec, s.measurements(r)); err != nil {
			return err
		}
	}
	return s.levels(out, r)
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
