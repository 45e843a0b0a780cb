package making

import (
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// there allots what there is of a project's yarn, up to the need, where it is not
// known to be enough: whole ends first, then weft. Of a package whose length is
// not known all is allotted.
func (s Shelf) there(o Outcome) []stash.Allotment {
	b := o.Project
	free := s.free()
	var out []stash.Allotment
	warp, weft := o.Needs.WarpTotal, o.Needs.WeftTotal
	if b.RagPerM2 > 0 {
		weft = outOfReach // rags go by mass; which of them is left to the weaver
	}
	for _, p := range s.Named(b.Warp) {
		if s.barredAs(p, stash.RoleWarp) == "" {
			out = s.allotFrom(out, p, b, free, &warp, o.Needs.WarpEnd)
		}
	}
	for _, p := range s.Named(b.Weft) {
		if s.barredAs(p, stash.RoleWeft) == "" {
			out = s.allotFrom(out, p, b, free, &weft, 0)
		}
	}
	return merged(out)
}

// outOfReach is longer than any stash.
const outOfReach = measure.Length(1) << 50

// free is what is available of each package.
func (s Shelf) free() map[stash.PackageID]measure.Mass {
	free := map[stash.PackageID]measure.Mass{}
	for _, p := range s.Packages {
		free[p.ID] = s.amount(p).Available
	}
	return free
}

// allotFrom takes what a package has of a need: whole ends of length end, or
// weft where end is zero.
func (s Shelf) allotFrom(out []stash.Allotment, p stash.Package, b stash.ProjectFacts,
	free map[stash.PackageID]measure.Mass, need *measure.Length,
	end measure.Length) []stash.Allotment {
	if !s.amount(p).Known || free[p.ID] <= 0 || *need <= 0 {
		return out
	}
	a := stash.Allotment{Package: p.ID, Mass: free[p.ID]}
	tex := s.texFor(s.Yarns[p.Yarn], b)
	if length, known := measure.LengthOf(free[p.ID], tex); known {
		take := min(length, *need)
		if end > 0 {
			a.Ends = int(take / end)
			take = measure.Length(a.Ends) * end
			a.Warp = take
		} else {
			a.Weft = take
		}
		*need -= take
		mass, _ := measure.MassOf(take, tex)
		a.Mass = min(mass, free[p.ID])
	}
	free[p.ID] -= a.Mass
	if a.Mass == 0 {
		return out
	}
	return append(out, a)
}
