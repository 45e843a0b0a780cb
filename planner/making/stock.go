package making

import (
	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// BarredAs says why a package cannot serve in a role, empty if it can.
func (s Shelf) BarredAs(p stash.Package, role stash.Role) string { return s.barredAs(p, role) }

// Spec states a project with all its losses filled in as the planner takes it.
func (s Shelf) Spec(b stash.ProjectFacts) planner.Spec { return s.specOf(b) }

// Filled is a project with every loss, sett and pick count that it leaves open
// filled in, as Plan does it.
func (s Shelf) Filled(b stash.ProjectFacts) (stash.ProjectFacts, error) {
	f, err := s.fill(b)
	return f.project, err
}

// PutUps are the packages that could be bought of each yarn that a project
// names: one as it was sold.
func (s Shelf) PutUps(b stash.ProjectFacts) []fit.PutUp { return s.putUps(b) }

// ColourLabel is what a package's colour is called in stripes without names.
func (s Shelf) ColourLabel(p stash.Package) string {
	return s.colourIn(p, s.Yarns[p.Yarn], stash.ProjectFacts{})
}

// StripeOf is the stripe of a project that a package serves, else its colour.
func (s Shelf) StripeOf(p stash.Package, b stash.ProjectFacts) string {
	return s.colourIn(p, s.Yarns[p.Yarn], b)
}

// Span is the free length of a package with one combined standard uncertainty,
// for those who need no more of Stock; false where the length is not known.
func (s Shelf) Span(p stash.Package, b stash.ProjectFacts) (length, spread measure.Length,
	known bool) {
	y := s.Yarns[p.Yarn]
	a := s.amount(p)
	tex := s.texFor(y, b)
	length, known = measure.LengthOf(a.Available, tex)
	if !a.Known || !known {
		return 0, 0, false
	}
	perMg := 1e6 / float64(tex)
	own := measure.Combine(float64(a.Reading)*perMg, float64(a.Tare)*perMg)
	shared := measure.Combine(a.Count.Float(), a.Room.Float()) * float64(length)
	return length, measure.Length(measure.Combine(own, shared)), true
}

// TexFor is the count that a yarn's length is reckoned by in a project: rags
// without one by any, since need and supply are both masses.
func (s Shelf) TexFor(y stash.Yarn, b stash.ProjectFacts) measure.Count { return s.texFor(y, b) }

// Available is the mass of a package that can be woven now.
func (s Shelf) Available(p stash.Package) measure.Mass { return s.amount(p).Available }
