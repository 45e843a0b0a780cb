package making

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Winding is how long the ends of a warp must be for the tape that is planned.
type Winding struct {
	// Middle is long enough for every second piece, Long for 19 of 20.
	Middle, Long measure.Length
	// Rests says what it rests on and which reading would make it surer; empty where the
	// project gives every loss along the warp.
	Rests string
	// Sample says how sure the finished length is and what a sample would make of it.
	Sample string
	// reaches is for what share of pieces so long an end is enough.
	reaches func(measure.Length) float64
	// loom says that the loom takes no more than is wound.
	loom bool
}

// margin is by how much the ends for 19 of 20 pieces are longer than the middle.
func (w Winding) margin() measure.Length { return w.Long - w.Middle }

// sampled is the tape of a woven sample, in mm.
const sampled = 300

// windingOf is what the tape of a plan takes of warp.
func windingOf(set learn.Set, n planner.Needs) Winding {
	w := Winding{Middle: n.WarpEnd, Long: n.WarpEnd}
	if set.EndsSettled() {
		return w
	}
	taut, slack := bare(n.Spec)
	tape := float64(n.TapeLength) * float64(n.Spec.Pieces)
	w.Long = max(w.Middle, measure.Length(math.Ceil(set.Warp(tape, taut, slack, 0.95))))
	w.Rests, w.Sample = set.WarpRests(tape, taut, slack), set.SizeRests(sampled)
	w.reaches = func(end measure.Length) float64 { return set.WarpReaches(tape, taut, slack, float64(end)) }
	return w
}

// bare is the warp that is not woven: what is known by its length under tension, and what
// by its length when cut.
func bare(s planner.Spec) (taut, slack float64) {
	slack = float64(s.Unwoven())
	for _, side := range []struct{ loom, wound, fringe measure.Length }{{s.Loom.Front, s.Front(),
		s.Edges.Start().Raw()}, {s.Loom.Back, s.Back(), s.Edges.Last().Raw()}} {
		if side.wound > side.fringe {
			taut += float64(side.loom)
			slack -= float64(side.wound)
		}
	}
	return taut, slack
}

// withMargin asks for a margin of every end.
type withMargin struct {
	fit.Geometry
	margin measure.Length
}

// WarpEnd is the end with its margin.
func (l withMargin) WarpEnd(lf measure.Length) measure.Length {
	return l.Geometry.WarpEnd(lf) + l.margin
}

// marginSteps is in how many steps the margin is tried where there is too little for all.
const marginSteps = 16

// windMore plans to wind what 19 of 20 pieces need, from either where the lots of r do not
// give it, which it tells; or as much of it as yarn and loom give: half of the pieces whose
// warp is the middle end too short.
func (s Shelf) windMore(o *Outcome, r, either fit.Request) bool {
	all := o.Wind.margin()
	if all <= 0 {
		return false
	}
	what := s.windWith(o, r, all)
	if what == "" {
		return false
	}
	if r.Lots != either.Lots && what != loomTakes && s.windOthers(o, either, all) {
		return true
	}
	o.Wind.loom = what == loomTakes
	n := sort.Search(marginSteps-1, func(n int) bool {
		return s.windWith(o, r, all*measure.Length(n+1)/marginSteps) != ""
	})
	if n == 0 {
		o.Notes = append(o.Notes, s.onlyMiddle(o.Wind, what))
		return false
	}
	margin := all * measure.Length(n) / marginSteps
	if slices.ContainsFunc(r.Packages, func(k fit.Package) bool { return k.ForWarp && k.ForWeft }) {
		margin /= 2 // the weft of the same yarn is in doubt as well
	}
	s.windWith(o, r, margin)
	o.Notes = append(o.Notes, s.notAll(o.Wind, what, margin))
	return false
}

// windOthers plans a margin of every end from lots that meet, where that adds no yarn or
// colour to those that are taken.
func (s Shelf) windOthers(o *Outcome, either fit.Request, margin measure.Length) bool {
	before := *o
	if s.windWith(o, either, margin) != "" {
		return false
	}
	for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
		had := s.takenAs(before.Allotments, role)
		for _, p := range s.takenAs(o.Allotments, role) {
			if !slices.ContainsFunc(had,
				func(h stash.Package) bool { return h.Yarn == p.Yarn && h.Colour == p.Colour }) {
				*o = before
				return false
			}
		}
	}
	return true
}

// loomTakes begins what is said where the loom takes no longer ends.
const loomTakes = "the loom takes"

// loomBinding is what runs out first there.
const loomBinding = "longest warp"

// boundByLoom makes a plan no surer than the ends that the loom takes are long enough.
func (o *Outcome) boundByLoom(units measure.System) {
	if !o.Wind.loom {
		return
	}
	p := o.Wind.reaches(o.Needs.WarpEnd)
	if p >= o.Probability {
		return
	}
	o.Probability, o.Bound, o.Close, o.Verdict = p, 0, false, chance.VerdictOf(p)
	if o.Binding = loomBinding; o.Verdict != chance.Sure {
		o.Why = fmt.Sprintf("the loom takes ends of %s, and 19 of 20 such pieces need %s",
			o.Needs.WarpEnd.Planned(units), o.Wind.Long.Planned(units))
		o.Do = "Weave it shorter (--largest finds how long)."
	}
}

// windWith plans a margin of every end, or says what does not give it.
func (s Shelf) windWith(o *Outcome, r fit.Request, margin measure.Length) string {
	spec := o.Needs.Spec
	spec.Loom.Margin = margin
	n, err := planner.NeedForEnds(spec, o.Needs.Threaded)
	if err != nil {
		return loomTakes
	}
	r.Geometry = withMargin{r.Geometry, margin}
	result, err := fit.Solve(r)
	if err != nil || !reaches(result, o.Project.Length) {
		return "the yarn gives"
	}
	n.ThreadedBelow = o.Needs.ThreadedBelow
	o.Needs = n
	o.Allotments = s.allot(o.Project, result.Recommended.Shares)
	o.Bands, o.LotChanges = result.Recommended.Bands, result.Recommended.LotChanges
	return ""
}

// windAll makes a plan for which there is too little yarn tell what 19 of 20 pieces need of
// warp, as one for which there is enough does.
func (s Shelf) windAll(o *Outcome) {
	spec := o.Needs.Spec
	if spec.Loom.Margin = o.Wind.Long - o.Wind.Middle; spec.Loom.Margin <= 0 {
		return
	}
	n, err := planner.NeedForEnds(spec, o.Needs.Threaded)
	if err != nil {
		o.Notes = append(o.Notes, s.onlyMiddle(o.Wind, loomTakes))
		return
	}
	n.ThreadedBelow = o.Needs.ThreadedBelow
	o.Needs = n
}

func (s Shelf) onlyMiddle(w Winding, what string) string {
	return fmt.Sprintf("%s ends of %s, which is the middle: half of such pieces need more. For 19 of 20 wind %s",
		what, w.Middle.Planned(s.Settings.Units), w.Long.Planned(s.Settings.Units))
}

func (s Shelf) notAll(w Winding, what string, margin measure.Length) string {
	return fmt.Sprintf("%s ends of %s: more than the middle of such pieces, %s, and less than the %s of 19 of 20",
		what, (w.Middle + margin).Planned(s.Settings.Units), w.Middle.Planned(s.Settings.Units),
		w.Long.Planned(s.Settings.Units))
}

// CheckWound refuses a length that no warp of a plan can have been wound to.
func (s Shelf) CheckWound(p stash.Plan, wound measure.Length) error {
	unwoven := s.specOf(p.Spec).Unwoven()
	if wound > unwoven && float64(wound) <= countMargin*float64(p.WarpEnd) {
		return nil
	}
	hint := unitHint(wound, float64(p.WarpEnd))
	if wound <= unwoven {
		hint = "is it the right unit? " + unwoven.Cloth(s.Settings.Units) +
			" of every end stays unwoven"
	}
	return stash.Refuse(stash.CodeInput, hint,
		"a warp wound %s makes nothing of a piece that was planned on %s",
		wound.Cloth(s.Settings.Units), p.WarpEnd.Cloth(s.Settings.Units))
}

// CheckReading refuses the last reading of a piece on the loom where it cannot be true of
// its warp.
func (s Shelf) CheckReading(p stash.Piece) error {
	for _, l := range s.weaverOf().Untrue(p) {
		return stash.Refuse(stash.CodeInput,
			"read it again, or give --wound when the warp is on the loom",
			"the reading of %s cannot be: %s", p.Name, l.Why)
	}
	last := p.Readings[len(p.Readings)-1]
	if last.Left > 0 && p.Plan.Shared != nil {
		return stash.Refuse(stash.CodeInput, "leave --left out",
			"what is left of the warp of %s is not its own: other pieces are woven from it", p.Name)
	}
	if last.WeftLeft == 0 {
		return nil
	}
	_, tex, ok := s.weftWeighed(p)
	if !ok {
		return stash.Refuse(stash.CodeRefused, "weigh each by itself: `"+stash.Command("weigh",
			"ITEM", "WEIGHT")+"`", "the weft of %s has several counts, or none that is known",
			p.Name)
	}
	var was weftUse
	known := s.supplied(&was, p)
	if left, _ := measure.LengthOf(last.WeftLeft, tex); known && float64(left) > massMargin*was.supply {
		return stash.Refuse(stash.CodeInput, "was it weighed with shuttle and bobbins?",
			"%s of weft are left, and there was %s of it", last.WeftLeft.Format(s.Settings.Units),
			measure.Length(was.supply).Yarn(s.Settings.Units))
	}
	return nil
}
