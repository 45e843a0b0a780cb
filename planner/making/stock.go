package making

import (
	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
)

// Stock states the free part of a package as the solver takes it, with its own
// errors and those that it shares with others, for a brief whose weft may be
// rags by mass. Its roles are left to the caller.
func (s Shelf) Stock(p stash.Package, b stash.BriefFacts) fit.Package { return s.fitPackage(p, b) }

// BarredAs says why a package cannot serve in a role, empty if it can.
func (s Shelf) BarredAs(p stash.Package, role stash.Role) string { return s.barredAs(p, role) }

// Spec states a brief with all its losses filled in as the planner takes it.
func (s Shelf) Spec(b stash.BriefFacts) planner.Spec { return s.specOf(b) }

// Filled is a brief with every loss, sett and pick count that it leaves open
// filled in, as Plan does it.
func (s Shelf) Filled(b stash.BriefFacts) (stash.BriefFacts, error) {
	b, _, err := s.fill(b)
	return b, err
}

// PutUps are the packages that could be bought of each yarn that a brief
// names: one as it was sold.
func (s Shelf) PutUps(b stash.BriefFacts) []fit.PutUp { return s.putUps(b) }

// ColourLabel is what a package's colour is called in stripes without names.
func (s Shelf) ColourLabel(p stash.Package) string {
	return s.colourIn(p, s.Yarns[p.Yarn], stash.BriefFacts{})
}
