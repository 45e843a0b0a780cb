package making

import (
	"slices"

	"endsmeet/stash"
)

// sideOf is the side of a clasped weft that a package serves: each of two wefts that a
// project names takes half (where they meet is the weaver's; half is the mean). It is 0
// where the weft is not clasped, is named as one, or is the warp's yarn too.
func (s Shelf) sideOf(p stash.Package, b stash.ProjectFacts) int {
	if !b.Clasped || len(b.Weft) != 2 {
		return 0
	}
	warp := s.Named(b.Warp)
	for _, w := range s.Named(b.Weft) {
		if slices.ContainsFunc(warp, func(o stash.Package) bool { return o.ID == w.ID }) {
			return 0
		}
	}
	for i, r := range b.Weft {
		if slices.ContainsFunc(s.Named([]stash.Ref{r}),
			func(o stash.Package) bool { return o.ID == p.ID }) {
			return i + 1
		}
	}
	return 0
}

// claspedNote says that one package cannot be thrown from both sides at once.
func (s Shelf) claspedNote(b stash.ProjectFacts) []string {
	if !b.Clasped || len(b.Weft) == 2 || len(s.Named(b.Weft)) != 1 {
		return nil
	}
	return []string{"a clasped weft is thrown from both sides at once: wind part of the ball onto another, or name two wefts"}
}
