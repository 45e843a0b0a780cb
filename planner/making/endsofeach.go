package making

import (
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// EndsOf is how many whole ends of a warp a package gives by itself, whatever else is woven
// of it: in the middle, and with one standard uncertainty of its length taken off. What
// remains of one cannot be joined to what remains of another.
type EndsOf struct {
	Package stash.PackageID `json:"id"`
	Tag     string          `json:"tag"`
	Ends    int             `json:"ends"`
	Low     int             `json:"ends_low"`
}

// endsOfEach counts the whole ends of each package of the warp, where there are several.
func (s Shelf) endsOfEach(o Outcome) []EndsOf {
	var out []EndsOf
	for _, p := range s.Named(o.Project.Warp) {
		if s.barredAs(p, stash.RoleWarp) != "" {
			continue
		}
		k := s.fitPackage(p, o.Project)
		if k.Unknown {
			continue
		}
		out = append(out, EndsOf{p.ID, p.Label(), endsFrom(k, k.Length, o),
			endsFrom(k, k.Reliable(), o)})
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// endsFrom counts the whole ends that so much of a package gives.
func endsFrom(k fit.Package, length measure.Length, o Outcome) int {
	e, per := o.Needs.Spec.Ends, measure.Length(1)
	if e.Loops {
		per = 2
	}
	return k.Windings(length, max(1, per*o.Needs.WarpEnd)) * int(per) / max(1, e.Strands)
}
