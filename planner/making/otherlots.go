package making

import (
	"fmt"
	"maps"
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
)

// mostLots is of how many lots, of the warp and of the weft, others are tried.
const mostLots = 4

// fromOtherLots plans a piece that is not sure from every other lot for its warp and for its
// weft, where lots do not meet, and takes those of which it is surest: the lots of a plan are
// those that do in the middle, which may be known less well than others.
func (s Shelf) fromOtherLots(o *Outcome, before Outcome, r fit.Request) {
	warp, weft := s.lotsAs(r, stash.RoleWarp), s.lotsAs(r, stash.RoleWeft)
	if len(warp)*len(weft) < 2 || len(warp) > mostLots || len(weft) > mostLots {
		return
	}
	for n := range len(warp) * len(weft) {
		one := s.fromLots(r, warp[n%len(warp)], weft[n/len(warp)])
		result, err := fit.Solve(one)
		if err != nil || !reaches(result, o.Project.Length) {
			continue
		}
		other := before
		if err := s.fillIn(&other, one, one, result); err == nil && other.Fits() && (other.Probability >
			o.Probability+surer || other.Verdict == chance.Sure && o.Verdict != chance.Sure) {
			*o = other
		}
	}
}

// lotsAs are the dye lots of a request that may serve in a role.
func (s Shelf) lotsAs(r fit.Request, role stash.Role) []stash.DyeLot {
	var out []stash.DyeLot
	for _, k := range r.Packages {
		p, _ := s.find(stash.PackageID(k.ID))
		serves := k.ForWarp && role == stash.RoleWarp || k.ForWeft && role == stash.RoleWeft
		if serves && !slices.Contains(out, p.InLot()) {
			out = append(out, p.InLot())
		}
	}
	return out
}

// fromLots is a request of one lot for the warp and one for the weft.
func (s Shelf) fromLots(r fit.Request, warp, weft stash.DyeLot) fit.Request {
	var out []fit.Package
	for _, k := range r.Packages {
		p, _ := s.find(stash.PackageID(k.ID))
		k.ForWarp, k.ForWeft = k.ForWarp && p.InLot() == warp, k.ForWeft && p.InLot() == weft
		if k.ForWarp || k.ForWeft {
			out = append(out, k)
		}
	}
	r.Packages = out
	return r
}

// lotsAlone notes, of a plan for which there is not enough, what the dye lots of each role do
// were there enough of the other: where the role has not enough itself all its lots are needed,
// and where a length is not known some may be.
func (s Shelf) lotsAlone(o *Outcome, r fit.Request) {
	o.LotChanges = nil
	for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
		alone, with := aloneAs(r, role), Outcome{Project: o.Project, Needs: o.Needs, Wind: o.Wind}
		alone.Want, alone.Bare = fit.Want{Length: o.Project.Length}, true
		alone.Ends.Min, alone.Ends.Max = o.Needs.Threaded, o.Needs.Threaded
		err := s.Terse().solveFor(&with, alone)
		if fits := err == nil && with.Fits(); fits {
			alone = s.only(alone, with.Allotments, byID)
			for _, c := range with.LotChanges {
				if c.Later && c.Role == string(role) {
					o.LotChanges = append(o.LotChanges, c)
				}
			}
		}
		o.LotChanges = append(o.LotChanges, allLots(alone, role, with.Verdict == chance.Unknown)...)
	}
}

// aloneAs is a request whose packages serve in one role, with no end of yarn for the other.
func aloneAs(r fit.Request, role stash.Role) fit.Request {
	as, sides := role == stash.RoleWarp, map[int]bool{}
	var out []fit.Package
	for _, k := range r.Packages {
		if k.ForWeft {
			sides[k.Side] = true
		}
		k.ForWarp, k.ForWeft = k.ForWarp && as, k.ForWeft && !as
		if k.ForWarp || k.ForWeft {
			out = append(out, k)
		}
	}
	if !as {
		for _, stripe := range append(r.Plan.Stripes, fit.Stripe{}) {
			out = append(out, fit.Package{ID: "endless warp " + stripe.Colour, Colour: stripe.Colour,
				Yarn: stripe.Colour, Length: outOfReach, ForWarp: true})
		}
	} else {
		for side := range 3 {
			if sides[side] || side == 0 && len(sides) == 0 {
				out = append(out, fit.Package{ID: fmt.Sprint("endless weft ", side), Length: outOfReach,
					ForWeft: true, Side: side})
			}
		}
	}
	r.Packages = out
	return r
}

// allLots are the lots of each colour of which there are several in a role.
func allLots(r fit.Request, role stash.Role, later bool) []fit.LotChange {
	by := map[string][]string{}
	for _, k := range r.Packages {
		serves := k.ForWarp && role == stash.RoleWarp || k.ForWeft && role == stash.RoleWeft
		if serves && k.Length < outOfReach && !slices.Contains(by[k.Colour], k.Lot) {
			by[k.Colour] = append(by[k.Colour], k.Lot)
		}
	}
	var out []fit.LotChange
	for _, colour := range slices.Sorted(maps.Keys(by)) {
		if lots := by[colour]; len(lots) > 1 {
			c := fit.LotChange{Role: string(role), Lots: lots, Later: later}
			if slices.Sort(lots); len(by) > 1 {
				c.Colour = colour
			}
			out = append(out, c)
		}
	}
	return out
}
