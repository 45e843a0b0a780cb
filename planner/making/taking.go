package making

import (
	"fmt"
	"math"
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// solveFor solves with whole dye lots, and where that does not do, with lots
// mixed, which is then said. How sure it is takes in every lot that may be mixed.
func (s Shelf) solveFor(o *Outcome, r fit.Request) error {
	result, err := fit.Solve(r)
	if unknown, ok := asUnknown(err); ok {
		o.Verdict, o.Binding, o.UnknownLengths = chance.Unknown, "length of an item",
			s.unknownLengths(unknown)
		return nil
	}
	if err != nil {
		return err
	}
	either := r
	if either.Lots = fit.AnyLot; !reaches(result, o.Project.Length) && r.Lots == fit.WholeLots {
		if better, err := fit.Solve(either); err == nil && longer(better, result) {
			if o.Project.MixLots == nil {
				r, result = either, better
			} else {
				o.oneLot(better, s.Settings.Units)
			}
		}
	}
	if o.Project.MixLots != nil {
		either = r
	}
	before := *o
	before.Notes = slices.Clip(o.Notes)
	err = s.fillIn(o, r, either, result)
	if err == nil && o.Fits() && o.Verdict != chance.Sure && r.Lots == fit.WholeLots {
		s.fromOtherLots(o, before, r)
	}
	return err
}

// oneLot says what mixing dye lots would do, where the project rules it out.
func (o *Outcome) oneLot(mixed fit.Result, units measure.System) {
	o.Why = "one dye lot alone is not enough, and the project rules out mixing lots"
	o.Do = "One lot has to be enough; lots mixed would give " + mixed.Recommended.Length.Planned(units) +
		" (mix-lots=yes)."
}

func reaches(r fit.Result, l measure.Length) bool {
	return r.Recommended != nil && r.Recommended.Length >= l
}

func longer(a, b fit.Result) bool {
	return a.Recommended != nil &&
		(b.Recommended == nil || a.Recommended.Length > b.Recommended.Length)
}

// fillIn takes what each package gives from r, and how sure it is from either: a lot that
// runs out is woven on with another, where the project does not rule it out, and it is said
// which.
func (s Shelf) fillIn(o *Outcome, r, either fit.Request, result fit.Result) error {
	a, err := fit.Chance(either, o.Needs.Threaded, o.Project.Length)
	if err != nil {
		return err
	}
	o.sure(a)
	rec := result.Recommended
	if o.Binding = result.Binding.String(); rec == nil {
		return s.advise(o, either, a)
	}
	o.Bands, o.LotChanges, o.Binding = rec.Bands, rec.LotChanges, rec.Binding.String()
	if !reaches(result, o.Project.Length) {
		o.Greatest = &rec.Point
		return s.advise(o, either, a)
	}
	if r.Plan.Kind == fit.FreeStripes {
		r.Plan = laidOut(rec.Bands)
		either.Plan = r.Plan
		if a, err = fit.Chance(either, o.Needs.Threaded, o.Project.Length); err != nil {
			return err
		}
		o.sure(a)
	}
	o.Allotments = s.allot(o.Project, rec.Shares)
	if s.windMore(o, r, either) {
		r = either
	}
	if either, err = s.countOn(o, r, either, &a); err != nil {
		return err
	}
	o.boundByLoom(s.Settings.Units)
	if o.Binding != loomBinding {
		o.Binding = string(fit.Nothing)
		if o.Verdict != chance.Sure {
			o.Binding = a.First.String()
		}
	}
	s.allotHem(o)
	o.Notes = append(append(o.Notes, s.lotPlaces(*o)...), s.shortWeft(*o, r.Pass)...)
	o.Notes = append(o.Notes, s.weftOfPieces(*o)...)
	return s.advise(o, either, a)
}

// sure says how sure a plan is.
func (o *Outcome) sure(a fit.Odds) {
	o.Probability, o.Bound, o.Close, o.Verdict = a.Probability, a.Bound, a.Close, a.Verdict
}

// surer is by how much more yarn must make a plan surer to be told of.
const surer = 0.005

// countOn makes the chance of a plan that of the packages that it names, which it returns:
// those that are allotted, and, where those make it surer, the rest of their lots, and then
// other lots that may meet, of which all is the chance.
func (s Shelf) countOn(o *Outcome, r, either fit.Request, all *fit.Odds) (fit.Request, error) {
	exact := s.only(r, o.Allotments, byID)
	if places(exact) == places(either) && r.Lots == either.Lots {
		return either, nil
	}
	now, err := fit.Chance(exact, o.Needs.Threaded, o.Project.Length)
	if err != nil {
		return either, err
	}
	counted := exact
	if lots := s.only(r, o.Allotments, byLot); places(lots) > places(exact) {
		wider, err := fit.Chance(lots, o.Needs.Threaded, o.Project.Length)
		if err != nil {
			return either, err
		}
		if isSurer(wider, now) {
			now, counted = wider, lots
		}
	}
	mayMeet := either.Lots == fit.AnyLot &&
		(o.Project.MixLots != nil || now.Verdict != chance.Sure)
	if mayMeet && isSurer(*all, now) {
		if places(either) > places(counted) || o.Project.MixLots != nil {
			o.without(now)
			now, counted = *all, either
		} else { // of the lots that are taken none meet unless that is allowed
			o.noteEnough("with lots meeting in a piece (mix-lots=yes)", *all)
		}
	}
	s.goOn(o, exact, counted)
	first := all.First
	*all = now
	all.First = first
	o.sure(now)
	return counted, nil
}

// without notes how sure a plan would be without another lot, which nobody allowed.
func (o *Outcome) without(another fit.Odds) {
	if o.Project.MixLots == nil {
		o.noteEnough("without another lot", another)
	}
}

func (o *Outcome) noteEnough(how string, a fit.Odds) {
	o.Notes = append(o.Notes, fmt.Sprintf("%s it would be enough for %.0f such pieces in 100",
		how, math.Floor(100*a.Probability)))
}

// isSurer says whether more yarn makes a plan so much surer that it is told of.
func isSurer(more, now fit.Odds) bool {
	return more.Probability > now.Probability+surer ||
		more.Verdict == chance.Sure && now.Verdict != chance.Sure
}

// takenAs are the packages that give something in a role.
func (s Shelf) takenAs(all []stash.Allotment, role stash.Role) []stash.Package {
	var out []stash.Package
	for _, a := range all {
		if role == stash.RoleWarp && a.Warp > 0 || role == stash.RoleWeft && a.Weft > 0 {
			p, _ := s.find(a.Package)
			out = append(out, p)
		}
	}
	return out
}

// only is a request whose packages serve where one is taken there of which the key is the
// same: its lot, or its ID.
func (s Shelf) only(r fit.Request, all []stash.Allotment, key func(*stash.Package) any) fit.Request {
	keys := func(role stash.Role) map[any]bool {
		out := map[any]bool{}
		for _, p := range s.takenAs(all, role) {
			out[key(&p)] = true
		}
		return out
	}
	warp, weft := keys(stash.RoleWarp), keys(stash.RoleWeft)
	var out []fit.Package
	for _, k := range r.Packages {
		if p, found := s.find(stash.PackageID(k.ID)); found {
			k.ForWarp, k.ForWeft = k.ForWarp && warp[key(&p)], k.ForWeft && weft[key(&p)]
		}
		if k.ForWarp || k.ForWeft {
			out = append(out, k)
		}
	}
	r.Packages = out
	return r
}

func byID(p *stash.Package) any  { return p.ID }
func byLot(p *stash.Package) any { return p.InLot() }

// Further is a package of which a plan takes nothing in the middle, and which goes on in a
// role where what is taken there runs out.
type Further struct {
	Role    stash.Role      `json:"role"`
	Package stash.PackageID `json:"id"`
	Tag     string          `json:"tag"`
}

// places counts what the packages of a request may serve.
func places(r fit.Request) int {
	n := 0
	for _, k := range r.Packages {
		if k.ForWarp {
			n++
		}
		if k.ForWeft {
			n++
		}
	}
	return n
}

// goOn notes the packages that a chance counts on beside those that are allotted, and the
// dye lots that meet where they do.
func (s Shelf) goOn(o *Outcome, exact, counted fit.Request) {
	for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
		in := func(r fit.Request) (ids []string) {
			for _, k := range r.Packages {
				if role == stash.RoleWarp && k.ForWarp || role == stash.RoleWeft && k.ForWeft {
					ids = append(ids, k.ID)
				}
			}
			return ids
		}
		now, taken := s.takenAs(o.Allotments, role), in(exact)
		for _, id := range in(counted) {
			p, found := s.find(stash.PackageID(id))
			if !found || slices.Contains(taken, id) {
				continue
			}
			o.Further = append(o.Further, Further{role, p.ID, p.Label()})
			o.meetLater(role, &p, now)
		}
	}
}

// meetLater notes that a package of another lot or yarn than those taken may go on in a role.
func (o *Outcome) meetLater(role stash.Role, p *stash.Package, now []stash.Package) {
	c := fit.LotChange{Role: string(role), Colour: p.Colour, Lots: []string{p.Lot}, Later: true}
	for i := range now {
		if p.InLot() == now[i].InLot() {
			return
		}
		if p.Yarn == now[i].Yarn && p.Colour == now[i].Colour && !slices.Contains(c.Lots, now[i].Lot) {
			c.Lots = append(c.Lots, now[i].Lot)
		}
	}
	if len(c.Lots) == 1 {
		c.Tag = p.Label()
	}
	if !slices.ContainsFunc(o.LotChanges, func(h fit.LotChange) bool {
		return h.Later && h.Role == c.Role && h.Tag == c.Tag && slices.Equal(h.Lots, c.Lots)
	}) {
		o.LotChanges = append(o.LotChanges, c)
	}
}
