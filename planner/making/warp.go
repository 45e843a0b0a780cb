package making

import (
	"fmt"
	"maps"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// WarpPlan is several projects on one warp, in the order in which they are woven. Each
// has an outcome of its own, with its part of the warp: what it takes, the ends that it
// leaves idle, and of what becomes neither cloth nor fringe as much as it is long. So each
// can be started, measured and finished as a piece by itself, and all that was wound is
// in some piece.
type WarpPlan struct {
	Outcomes []Outcome
	// Ends of the warp, floating selvedges too, and the length of each.
	Ends int
	End  measure.Length
	// Reed is the width of the warp in the reed.
	Reed measure.Length
	// Separator is the warp woven or left between two projects.
	Separator measure.Length
	// Waste is what of each end no project takes.
	Waste measure.Length

	warpOdds fit.Odds // of the warp for all
}

// section is one project of a warp.
type section struct {
	filling
	asked  stash.ProjectFacts
	counts []Loss
	spec   planner.Spec
	needs  planner.Needs
	margin measure.Length
}

// PlanWarp plans projects on one warp, woven in their order, with so much warp between
// two of them beside their fringes. All are sleyed as the first and have its warp yarns;
// the widest says how many ends there are. Projects that cannot share a warp are refused.
func PlanWarp(s Shelf, projects []stash.ProjectFacts, separator measure.Length) (WarpPlan, error) {
	var sections []section
	for i, b := range projects {
		b, err := s.ofOneWarp(b, projects[0])
		if err != nil {
			return WarpPlan{}, err
		}
		one, err := s.sectionOf(b, i > 0)
		if err != nil {
			return WarpPlan{}, fmt.Errorf("%s: %w", b.Name, err)
		}
		sections = append(sections, one)
	}
	w := WarpPlan{Separator: separator}
	if err := s.shareWaste(&w, sections); err != nil {
		return w, err
	}
	return w, s.outcomes(&w, sections)
}

// ofOneWarp is a project as it can be woven on the warp of the first.
func (s Shelf) ofOneWarp(b, first stash.ProjectFacts) (stash.ProjectFacts, error) {
	same := func(p, q stash.Package) bool { return p.ID == q.ID }
	switch {
	case len(b.Warp) > 0 && !slices.EqualFunc(s.Named(b.Warp), s.Named(first.Warp), same):
		return b, stash.Refuse(stash.CodeInput,
			"give both the same --warp, or plan it on a warp of its own",
			"%s has other warp yarns than %s: on one warp the ends are the same", b.Name,
			first.Name)
	case b.Sett > 0 && first.Sett > 0 && b.Sett != first.Sett:
		return b, stash.Refuse(stash.CodeInput, "leave its sett open, or give both the same",
			"%s is sett %s and %s %s: one warp is sleyed once", first.Name,
			first.Sett.Format(s.Settings.Units), b.Name, b.Sett.Format(s.Settings.Units))
	case b.FloatingSelvedges != first.FloatingSelvedges:
		return b, stash.Refuse(stash.CodeInput, "give both the same floating_selvedges",
			"%s has %d floating selvedges and %s %d: one warp has them or has not", first.Name,
			first.FloatingSelvedges, b.Name, b.FloatingSelvedges)
	case b.EndStrands != first.EndStrands || b.Loops != first.Loops:
		return b, stash.Refuse(stash.CodeInput, "give both the same end_strands and loops",
			"%s and %s are wound differently", first.Name, b.Name)
	}
	b.Warp, b.Sett = first.Warp, first.Sett
	return b, nil
}

// sectionOf is what a project takes of a warp by itself, without any waste. One that is
// not the first has its stripes in the warp of the first.
func (s Shelf) sectionOf(b stash.ProjectFacts, later bool) (section, error) {
	taught, counts := s.withCounts(b)
	if later {
		b.Stripes, b.StripeRule, b.Symmetric, b.LeastStripe, b.MostStripe = nil, "", false, 0, 0
	}
	f, err := taught.fill(b)
	if err != nil {
		return section{}, err
	}
	one := section{filling: f, asked: b, counts: counts, spec: taught.specOf(f.project)}
	one.spec.Loom.Front, one.spec.Loom.Back = 0, 0
	one.needs, err = planner.Need(one.spec)
	return one, err
}

// shareWaste works out the length of the ends and gives each project its part of what is
// not woven, by the length of warp that it takes.
func (s Shelf) shareWaste(w *WarpPlan, all []section) error {
	first, last := all[0], all[len(all)-1]
	whole := s.specOf(first.project)
	front := max(0, measure.Length(float64(whole.Loom.Front)/(1+whole.Losses.Strain.Float()))-first.spec.Edges.Start().Raw())
	back := max(0, measure.Length(float64(whole.Loom.Back)/(1+whole.Losses.Strain.Float()))-last.spec.Edges.Last().Raw())
	w.Waste = front + back + measure.Length(len(all)-1)*w.Separator
	var taken measure.Length
	for _, one := range all {
		taken += one.needs.WarpEnd
	}
	left, zero := w.Waste, measure.Length(0)
	for i := range all {
		one := &all[i]
		part := measure.Length(int64(w.Waste) * int64(one.needs.WarpEnd) / int64(taken))
		if i == len(all)-1 {
			part = left
		}
		left -= part
		taut := measure.Length(float64(one.spec.Edges.Start().Raw()+part) * (1 +
			one.spec.Losses.Strain.Float()))
		one.project.FrontWaste, one.project.BackWaste = &taut, &zero
		one.spec.Loom.Front = taut
		var err error
		if one.needs, err = planner.NeedForEnds(one.spec, one.needs.Threaded); err != nil {
			return err
		}
		w.Ends = max(w.Ends, one.needs.Ends)
	}
	return nil
}

// outcomes answers for every project: the first with the whole warp, which it binds, each
// other with the weft that those before it leave.
func (s Shelf) outcomes(w *WarpPlan, all []section) error {
	s, _ = s.withCounts(all[0].project)
	for i := range all {
		all[i].margin = windingOf(all[i].set, all[i].needs).Long - all[i].needs.WarpEnd
	}
	if err := s.tryWarp(w, all, true); err != nil {
		return err
	}
	if !w.Outcomes[0].Fits() {
		return s.tryWarp(w, all, false) // the middle, where the yarn does not give more
	}
	return nil
}

func (s Shelf) tryWarp(w *WarpPlan, all []section, margins bool) error {
	w.Outcomes = nil
	if err := s.woundEnd(w, all, margins); err != nil {
		return err
	}
	shelf := s
	for i, one := range all {
		o, err := shelf.outline(one.filling, one.counts, one.spec, one.needs)
		if err != nil {
			return err
		}
		o.Wind.Middle, o.Wind.Long = one.needs.WarpEnd, one.needs.WarpEnd // the margin is in it
		on := onWarp{own: one.needs.Threaded, ends: w.Ends - one.spec.Ends.Floats,
			rest: w.End - one.needs.WarpEnd, wound: i > 0}
		if err := shelf.answerOnWarp(&o, one, on); err != nil {
			return err
		}
		if i == 0 {
			w.warpOdds, err = shelf.oddsOfWarp(o, one, on)
			if _, unknown := asUnknown(err); err != nil && !unknown {
				return err
			}
		}
		o.Wind.Middle -= one.spec.Loom.Margin
		if i == 0 {
			w.Reed = reedOf(one.spec, on.ends)
		} else {
			s.onWarpOf(&o, w.Outcomes[0], w.warpOdds)
			if err := s.asAlone(&o, one.asked); err != nil {
				return err
			}
		}
		w.Outcomes = append(w.Outcomes, o)
		shelf = shelf.promised(o.Allotments)
	}
	s.shareEnds(w, all)
	return nil
}

// woundEnd adds up what the sections take of an end, and refuses more than the loom takes.
func (s Shelf) woundEnd(w *WarpPlan, all []section, margins bool) (err error) {
	w.End = 0
	for i := range all {
		one := &all[i]
		if one.spec.Loom.Margin = 0; margins {
			one.spec.Loom.Margin = one.margin
		}
		if one.needs, err = planner.NeedForEnds(one.spec, one.needs.Threaded); err != nil {
			return err
		}
		w.End += one.needs.WarpEnd
	}
	if most := s.Settings.LongestWarp; most > 0 && w.End > most {
		return stash.Refuse(stash.CodeRefused, "plan fewer or shorter pieces, or a warp for each",
			"together they take a warp of %s, and the loom takes %s (loom.longest_warp)",
			w.End.Planned(s.Settings.Units), most.Planned(s.Settings.Units))
	}
	return nil
}

// reedOf is the width that so many threaded ends take in the reed.
func reedOf(spec planner.Spec, threaded int) measure.Length {
	n, err := planner.NeedForEnds(spec, threaded)
	if err != nil {
		return 0
	}
	return n.ReedWidth
}

// promised is the shelf with more of it promised.
func (s Shelf) promised(all []stash.Allotment) Shelf {
	s.Claims = maps.Clone(s.Claims)
	if s.Claims == nil {
		s.Claims = map[stash.PackageID]measure.Mass{}
	}
	for _, a := range all {
		s.Claims[a.Package] += a.Mass
	}
	return s
}

// shareEnds parts the warp that was allotted to the first among all, end by end: each has
// of every end what it takes of it.
func (s Shelf) shareEnds(w *WarpPlan, all []section) {
	first := &w.Outcomes[0]
	var warp []stash.Allotment
	for i := range first.Allotments {
		if a := first.Allotments[i]; a.Warp > 0 {
			warp = append(warp, a)
		}
	}
	for i := range w.Outcomes {
		o := &w.Outcomes[i]
		if !o.Fits() || !first.Fits() {
			continue
		}
		weft := slices.Clone(o.Allotments)
		for j := range weft {
			weft[j].Ends, weft[j].Warp = 0, 0
		}
		weft = slices.DeleteFunc(weft, func(a stash.Allotment) bool { return a.Weft+a.Hemstitch == 0 })
		for _, a := range warp {
			part := measure.Length(int64(a.Warp) / int64(w.End) * int64(all[i].needs.WarpEnd))
			weft = append(weft, stash.Allotment{Package: a.Package, Ends: a.Ends, Warp: part})
		}
		o.Allotments = merged(weft)
		for j := range o.Allotments {
			a := &o.Allotments[j]
			p, _ := s.find(a.Package)
			a.Mass, _ = measure.MassOf(a.Warp+a.Weft+a.Hemstitch, s.texFor(s.Yarns[p.Yarn], o.Project))
		}
	}
}

// onWarp is the place of a project on a warp that has more ends and more length than it
// takes.
type onWarp struct {
	fit.Geometry
	own, ends int
	// rest is what others take of each end.
	rest measure.Length
	// wound says that the warp is there already.
	wound bool
}

// WarpEnd is the whole end.
func (g onWarp) WarpEnd(lf measure.Length) measure.Length { return g.Geometry.WarpEnd(lf) + g.rest }

// Weft is the weft across the ends that the project takes.
func (g onWarp) Weft(_ int, lf measure.Length) measure.Length { return g.Geometry.Weft(g.own, lf) }

// Width is that of the project.
func (g onWarp) Width(int) measure.Length { return g.Geometry.Width(g.own) }

// warpOnLoom is the package that stands for a warp that is wound.
const warpOnLoom = "the warp on the loom"

// answerOnWarp says whether the size wanted fits on the warp, from what, and how sure.
func (s Shelf) answerOnWarp(o *Outcome, one section, on onWarp) error {
	b := o.Project
	if on.wound {
		b.Warp = nil
	}
	pool := s.gather(b)
	o.LeftOut = pool.leftOut
	if on.wound {
		pool.warp = 1
		pool.packages = append(pool.packages, fit.Package{ID: warpOnLoom, Yarn: warpOnLoom,
			ForWarp: true, Length: 2 * measure.Length(on.ends+2) * (o.Needs.WarpEnd +
				on.rest) * measure.Length(max(1, b.EndStrands))})
	}
	if pool.warp == 0 || pool.weft == 0 {
		return s.nothingNamed(o, pool)
	}
	r, err := s.requestOnWarp(*o, one, on, pool)
	if err != nil {
		return err
	}
	needs := o.Needs
	o.Needs.Threaded = on.ends
	err = s.solveFor(o, r)
	o.Needs = needs
	o.Allotments = slices.DeleteFunc(o.Allotments,
		func(a stash.Allotment) bool { return a.Package == warpOnLoom })
	if err == nil && !o.Fits() && o.Verdict != chance.Unknown {
		o.There = s.there(*o)
	}
	return err
}

// requestOnWarp asks for the size of a project on a warp that others share, of which what
// they take is in doubt alike.
func (s Shelf) requestOnWarp(o Outcome, one section, on onWarp, pool pool) (fit.Request, error) {
	f := one.filling
	if f.project = o.Project; on.wound {
		f.project.Warp = nil
	}
	r, err := s.request(f, one.spec, pool)
	if err != nil {
		return r, err
	}
	mean := r.Geometry.WarpEnd(o.Project.Length)
	r = placed(r, func(g fit.Geometry) fit.Geometry {
		rest := float64(on.rest) * float64(g.WarpEnd(o.Project.Length)) / float64(max(1, mean))
		return onWarp{g, on.own, on.ends, measure.Length(rest), on.wound}
	})
	r.Ends.Min, r.Ends.Max, r.Ends.Modulus, r.Ends.Least = on.ends, on.ends, 1, 0
	r.Want, r.Bare = fit.Want{Length: o.Project.Length}, true
	return r, nil
}

// oddsOfWarp are how sure the warp for all is by itself.
func (s Shelf) oddsOfWarp(o Outcome, one section, on onWarp) (fit.Odds, error) {
	b := o.Project
	b.Weft = nil
	pool := s.gather(b)
	if pool.warp == 0 {
		return fit.Odds{}, nil
	}
	r, err := s.requestOnWarp(o, one, on, pool)
	if err != nil {
		return fit.Odds{}, err
	}
	return fit.Chance(placed(r, func(g fit.Geometry) fit.Geometry { return noWeft{g} }), on.ends,
		o.Project.Length)
}

// asAlone makes a project whose weft is of the yarn of the warp no surer than it is alone,
// where what the ends take more is seen to lack in the weft.
func (s Shelf) asAlone(o *Outcome, asked stash.ProjectFacts) error {
	warp := s.Named(asked.Warp)
	if !slices.ContainsFunc(s.Named(asked.Weft), func(p stash.Package) bool {
		return slices.ContainsFunc(warp, func(q stash.Package) bool { return p.Yarn == q.Yarn })
	}) {
		return nil
	}
	alone, err := planOnce(s.Terse(), asked, 0)
	if err == nil && alone.Probability < o.Probability && o.Verdict != chance.Unknown {
		o.Probability, o.Bound, o.Verdict = alone.Probability, alone.Bound, alone.Verdict
		o.Binding = alone.Binding
	}
	return err
}

// placed is a request of which the needs are seen in another way.
func placed(r fit.Request, as func(fit.Geometry) fit.Geometry) fit.Request {
	r.Geometry, r.Doubts = as(r.Geometry), slices.Clone(r.Doubts)
	for i := range r.Doubts {
		r.Doubts[i].Above, r.Doubts[i].Below = as(r.Doubts[i].Above), as(r.Doubts[i].Below)
	}
	return r
}

// noWeft is a warp by itself.
type noWeft struct{ fit.Geometry }

// Weft is none.
func (noWeft) Weft(int, measure.Length) measure.Length { return 0 }

// onWarpOf gives a project on the warp of another what is to be said of that warp: it is as
// sure as that warp and its own weft are both enough, at the least, and is of the same lots
// and of what is left out of them.
func (s Shelf) onWarpOf(o *Outcome, first Outcome, warp fit.Odds) {
	for _, c := range first.LotChanges {
		if c.Role == string(stash.RoleWarp) {
			o.LotChanges = append(o.LotChanges, c)
		}
	}
	for _, l := range first.LeftOut {
		if slices.ContainsFunc(s.Named(first.Project.Warp), func(p stash.Package) bool { return p.ID == l.ID }) {
			o.LeftOut = append(o.LeftOut, l)
		}
	}
	noWarp := first.None && first.Binding == string(fit.Warp)
	switch {
	case noWarp && o.Verdict != chance.Short:
		o.Verdict, o.Binding, o.Probability, o.None = first.Verdict, first.Binding, 0, true
		o.Why, o.Do, o.Buys, o.Allotments = first.Why, first.Do, nil, nil
	case first.Verdict == chance.Unknown && !first.None && o.Verdict != chance.Short:
		o.Verdict, o.Binding, o.UnknownLengths = chance.Unknown, first.Binding, first.UnknownLengths
	case o.Verdict == chance.Unknown || warp.Verdict == "":
	case warp.Probability < 1:
		weft := o.Probability
		o.Probability, o.Bound = max(0, weft+warp.Probability-1), o.Bound+warp.Bound
		o.Verdict = chance.VerdictOf(o.Probability)
		if o.Verdict != chance.Sure && warp.Probability < weft {
			o.Binding, o.Why, o.Buys = string(fit.Warp), "the warp for all of them runs out first", nil
		} else if o.Verdict != chance.Sure {
			o.Binding = string(fit.Weft)
		}
	}
}

// Records are the plans of the pieces as the ledger keeps them; id names their warp.
func (w WarpPlan) Records(id string) []*stash.Plan {
	var out []*stash.Plan
	for i, o := range w.Outcomes {
		p := o.Record()
		p.Shared = &stash.SharedWarp{ID: id, Place: i + 1, Of: len(w.Outcomes), Ends: w.Ends,
			End: w.End, Reed: w.Reed, Separator: w.Separator}
		p.WarpTotal = measure.Length(w.Ends*max(1, o.Project.EndStrands)) * p.WarpEnd
		out = append(out, p)
	}
	return out
}
