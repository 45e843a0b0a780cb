package making

import (
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
