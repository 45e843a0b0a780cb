package making

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Outcome is the answer to "what does this project need, and does it fit?".
type Outcome struct {
	// Project as planned: every loss filled in, its warp that which is wound.
	Project stash.ProjectFacts
	// Asked are the yarns named for a warp of which only some are wound; empty elsewhere.
	Asked  []stash.Ref
	Losses []Loss
	Needs  planner.Needs
	Spread Spread
	// Wind is what the ends take, in the middle and for all but one piece in twenty.
	Wind Winding
	// set names the losses that the project sets.
	set []string
	// Edges is how the ends come out at the edge woven first, OtherEdges at the other.
	Edges, OtherEdges planner.EdgeAnswer
	// Sley is how the ends go through a reed, of those there are where the weaver says,
	// which Own tells; without dents where none would do.
	Sley planner.Sley
	Own  bool
	// Verdict and Probability are for the size wanted. Unknown has no
	// probability.
	Verdict     chance.Verdict
	Probability float64
	// Bound is how far the probability may be worked out from the truth, and Close
	// says that the verdict lies within it.
	Bound float64
	Close bool
	// Binding is what runs out first, "nothing" if it fits.
	Binding string
	// Allotments say what each package gives; empty unless the size fits on
	// the middle estimates.
	Allotments []stash.Allotment
	// There is what there is of the yarn where it is not known to be enough.
	There      []stash.Allotment
	Bands      []fit.Band
	LotChanges []fit.LotChange
	// Further are packages that the chance counts on beside those that are allotted.
	Further []Further
	// EndsOf is how many whole ends each package of a warp from several gives.
	EndsOf []EndsOf
	// Buys say what more yarn would make it sure, where it is not and more would.
	Buys []Buy
	// None says that there is nothing at all of the warp or of the weft: Buys are then all
	// that it asks for.
	None bool
	// Greatest is the greatest size with the same ends where the one wanted
	// does not fit; nil otherwise.
	Greatest *fit.Point
	LeftOut  []LeftOut
	Notes    []string
	// Why says in full what one word for what runs out does not, Do what to do
	// about it; empty where the word will do.
	Why, Do string
	// Worth is the measurement that would help most, where the answer is not
	// sure.
	Worth *chance.Worth
	// UnknownLengths says which packages must be measured first, and how.
	UnknownLengths []string
}

// Fits says whether the size fits on the middle estimates.
func (o Outcome) Fits() bool { return len(o.Allotments) > 0 }

// Plan answers for a project of a fixed size. It fails only for a project that
// makes no sense.
func Plan(s Shelf, b stash.ProjectFacts) (Outcome, error) { return PlanEnds(s, b, 0) }

// PlanEnds is Plan with so many threaded ends, whatever width they give and
// however they divide into bunches; zero leaves them to the project's width.
func PlanEnds(s Shelf, b stash.ProjectFacts, threaded int) (Outcome, error) {
	threaded = cmp.Or(threaded, b.EndsGiven())
	o, err := planOnce(s, b, threaded)
	woven := s.wovenOf(b, o)
	if err != nil || len(woven) == 0 {
		return o, err
	}
	asked := b.Warp
	b.Warp = woven
	one, err := planOnce(s, b, threaded)
	one.LeftOut, one.Asked = o.LeftOut, asked
	if err != nil || !one.Fits() || one.Verdict != chance.Sure && one.Probability < o.Probability {
		o.Notes = append(o.Notes,
			"sett and losses are the mean of the warp yarns named, of which one gives every end")
		return o, nil
	}
	one.Notes = append(one.Notes,
		"every end is of one of the warp yarns named, whose sett and losses these are; give --stripes to weave the others too, or --stripe-rule mixed")
	return one, nil
}

// wovenOf are the packages of the yarns that a plan takes its ends from, where it
// names others besides: sett and losses are those of what is woven. It is empty
// where every yarn named is in the warp.
func (s Shelf) wovenOf(b stash.ProjectFacts, o Outcome) []stash.Ref {
	taken := map[stash.YarnID]bool{}
	for _, a := range o.Allotments {
		if p, _ := s.find(a.Package); a.Warp > 0 {
			taken[p.Yarn] = true
		}
	}
	var out []stash.Ref
	left := false
	for _, p := range s.Named(b.Warp) {
		if taken[p.Yarn] {
			out = append(out, stash.Ref{Package: p.ID})
		} else if s.barredAs(p, stash.RoleWarp) == "" {
			left = true
		}
	}
	if !left {
		return nil
	}
	return out
}

// planOnce is PlanEnds with the sett and the losses of all yarns that are named.
func planOnce(s Shelf, b stash.ProjectFacts, threaded int) (Outcome, error) {
	s, counts := s.withCounts(b)
	f, err := s.fill(b)
	if err != nil {
		return Outcome{}, err
	}
	b = f.project
	spec := s.specOf(b)
	needs, err := needOf(&spec, threaded)
	if err != nil {
		return Outcome{}, err
	}
	if threaded != 0 {
		b.Width = needs.FinishedWidth
	}
	f.project = b
	o, err := s.outline(f, counts, spec, needs)
	if err != nil {
		return o, err
	}
	err = s.answer(&o, f, spec)
	if !s.terse {
		o.EndsOf = s.endsOfEach(o)
	}
	return o, err
}

// outline is what a project needs and how it comes out at the edges, before it is asked
// whether there is yarn for it.
func (s Shelf) outline(f filling, counts []Loss, spec planner.Spec, needs planner.Needs) (Outcome,
	error) {
	b := f.project
	o := Outcome{Project: b, Losses: append(f.losses, counts...), Needs: needs}
	wide := spec
	wide.Size.Width = o.Needs.FinishedWidth
	o.Spread.Width, o.Spread.Length = wide.Spread(f.doubts)
	o.Sley, o.Own = s.sley(b, needs.Threaded)
	o.Wind = windingOf(f.set, needs)
	for _, l := range f.set.Figures() {
		if l.Given {
			o.set = append(o.set, l.Name)
		}
	}
	var err error
	if o.Edges, o.OtherEdges, err = edgesOf(b, needs); err != nil {
		return o, err
	}
	o.Notes = append(s.notesOf(b, needs), s.claspedNote(b)...)
	if len(f.doubts) == 0 {
		o.Notes = append(o.Notes, onlyYarn)
	}
	return o, nil
}

// needOf is what a spec needs. Where the ends are given, any number of them is
// allowed from there on.
func needOf(spec *planner.Spec, threaded int) (planner.Needs, error) {
	if threaded == 0 {
		return planner.Need(*spec)
	}
	n, err := planner.NeedForEnds(*spec, threaded)
	spec.Ends.Modulus, spec.Ends.Least = 1, 0
	return n, err
}

// onlyYarn is said where the weaving leaves no doubt.
const onlyYarn = "every loss is taken as the project gives it: the only doubt is of the yarn"

// answer says whether the size wanted fits, from what, and how sure.
func (s Shelf) answer(o *Outcome, f filling, spec planner.Spec) error {
	pool := s.gather(o.Project)
	o.LeftOut = pool.leftOut
	if pool.warp == 0 || pool.weft == 0 {
		s.windAll(o)
		if r, err := s.request(f, spec, pool); err == nil {
			s.lotsAlone(o, r)
		}
		return s.nothingNamed(o, pool)
	}
	r, err := s.request(f, spec, pool)
	if err != nil {
		return err
	}
	r.Ends.Min, r.Ends.Max = o.Needs.Threaded, o.Needs.Threaded
	r.Want, r.Bare = fit.Want{Length: o.Project.Length}, true
	err = s.solveFor(o, r)
	if err == nil && o.Verdict == chance.Short {
		s.unfilled(o, spec)
	}
	if err == nil && !o.Fits() {
		if !s.terse {
			s.lotsAlone(o, r)
		}
		s.windAll(o)
		o.There = s.there(*o)
	}
	if err == nil && o.Verdict != chance.Sure {
		o.Notes = append(o.Notes, s.promisedOf(*o)...)
	}
	return err
}

// promisedOf says what of the yarn that a project names others were promised.
func (s Shelf) promisedOf(o Outcome) []string {
	var notes []string
	for _, p := range s.Named(slices.Concat(o.Project.Warp, o.Project.Weft)) {
		if m := p.Promised(s.Claims[p.ID]); m > 0 && s.Bar(p) != stash.BarPromised {
			note := fmt.Sprintf("%s of %s are promised already: %s", m.Format(s.Settings.Units), p.Label(),
				stash.Command("show", p.Label()))
			if !slices.Contains(notes, note) {
				notes = append(notes, note)
			}
		}
	}
	return notes
}

// noYarn says that there is no yarn for a role, and what is left out of it and why.
func (s Shelf) noYarn(b stash.ProjectFacts, role stash.Role, all []LeftOut) string {
	why := "there is no yarn to take the " + string(role) + " from"
	if left := s.leftOutOf(b, role, all); left != "" {
		return why + ": " + left
	}
	return why
}

// leftOutOf says what that a project names for a role is left out, and why; of both roles
// where it is empty.
func (s Shelf) leftOutOf(b stash.ProjectFacts, role stash.Role, all []LeftOut) string {
	refs := map[stash.Role][]stash.Ref{stash.RoleWarp: b.Warp, stash.RoleWeft: b.Weft,
		"": slices.Concat(b.Warp, b.Weft)}[role]
	var parts []string
	for _, l := range all {
		if slices.ContainsFunc(s.Named(refs), func(p stash.Package) bool { return p.ID == l.ID }) {
			parts = append(parts, l.Label+" "+l.Reason)
		}
	}
	return strings.Join(parts, "; ")
}

func (s Shelf) nothingNamed(o *Outcome, pool pool) error {
	o.None, o.Verdict, o.Binding = true, chance.Unknown, "warp"
	if pool.warp > 0 {
		o.Binding = "weft"
	}
	if len(o.LeftOut) > 0 {
		o.Verdict = chance.Short
	}
	role := stash.Role(o.Binding)
	o.Why = s.noYarn(o.Project, role, o.LeftOut)
	if pool.warp == 0 && pool.weft == 0 {
		if left := s.leftOutOf(o.Project, stash.RoleWeft, o.LeftOut); left != "" {
			o.Why += "; and for the weft: " + left
		}
	}
	o.Do = "Name some with --" + o.Binding + " YARN."
	if pool.warp == 0 {
		o.Buys = s.wholeNeed(*o, stash.RoleWarp)
	}
	if pool.weft == 0 {
		o.Buys = append(o.Buys, s.wholeNeed(*o, stash.RoleWeft)...)
	}
	o.Buys = joined(o.Buys)
	return nil
}

// allot turns the solver's shares into allotments with their masses.
func (s Shelf) allot(b stash.ProjectFacts, shares []fit.Share) []stash.Allotment {
	var out []stash.Allotment
	for _, share := range shares {
		if share.Warp+share.Weft == 0 {
			continue
		}
		a := stash.Allotment{Package: stash.PackageID(share.ID), Ends: share.Ends, Warp: share.Warp,
			Weft: share.Weft}
		p, _ := s.find(a.Package)
		a.Mass, _ = measure.MassOf(a.Warp+a.Weft, s.texFor(s.Yarns[p.Yarn], b))
		out = append(out, a)
	}
	return out
}

// allotHem takes the hem-stitching from its own yarn, where it has one.
func (s Shelf) allotHem(o *Outcome) {
	need := o.Needs.HemstitchTotal
	if len(o.Project.HemstitchYarn) == 0 || need == 0 {
		return
	}
	var barred, unknown []string
	for _, p := range s.Named(o.Project.HemstitchYarn) {
		a, y := s.amount(p), s.Yarns[p.Yarn]
		if why := s.Barred(p); why != "" {
			barred = append(barred, p.Label()+" "+why)
			o.LeftOut = append(o.LeftOut, LeftOut{p.ID, p.Label(), why})
		}
		if s.Barred(p) != "" {
			continue
		}
		if !a.LengthKnown {
			unknown = append(unknown, p.Label()+": "+howToMeasure(p, y, a))
			continue
		}
		free, _ := measure.LengthOf(a.Available, y.Tex())
		take := min(need, free)
		mass, _ := measure.MassOf(take, y.Tex())
		o.Allotments = append(o.Allotments, stash.Allotment{Package: p.ID, Hemstitch: take, Mass: mass})
		need -= take
	}
	switch {
	case need <= 0 || o.Verdict == chance.Short:
	case len(unknown) > 0:
		o.Verdict, o.Binding, o.Why, o.Do = chance.Unknown, "length of an item", "", ""
		o.UnknownLengths = append(o.UnknownLengths, unknown...)
		o.Probability, o.Bound, o.Close = 0, 0, false
	default:
		o.Why = "the yarn for the hem-stitching is short by " + need.Yarn(s.Settings.Units)
		if len(barred) > 0 {
			o.Why += ": " + strings.Join(barred, "; ")
		}
		o.Do = "Name another with --hemstitch-yarn YARN."
		o.Verdict, o.Binding, o.Probability, o.Bound, o.Close = chance.Short, "hem-stitching", 0, 0, false
	}
}

// Record is the plan as the ledger keeps it.
func (o Outcome) Record() *stash.Plan {
	n := o.Needs
	allotments, short := o.Allotments, false
	if !o.Fits() {
		allotments, short = o.There, len(o.There) > 0
	}
	front := n.Spec.Loom.Front
	return &stash.Plan{
		Spec: o.Project, Ends: n.Ends, Picks: n.Picks, WarpEnd: n.WarpEnd, WarpTotal: n.WarpTotal,
		WeftTotal:      n.WeftTotal,
		HemstitchTotal: n.HemstitchTotal, Tape: n.TapeLength, ReedWidth: n.ReedWidth, ClothWidth: n.ClothWidth,
		Width: n.FinishedWidth, Length: n.FinishedLength, Waste: front + n.Spec.Loom.Back,
		Margin: n.Spec.Loom.Margin, Set: o.set, Allotments: allotments, Short: short,
	}
}
