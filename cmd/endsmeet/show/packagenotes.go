package show

import (
	"fmt"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// PackageNotes are the facts of a package that only `show` tells; null is not
// recorded.
type PackageNotes struct {
	Acquired   *string           `json:"acquired"`
	Price      *stash.Price      `json:"price"`
	Source     *string           `json:"source"`
	Note       *string           `json:"note"`
	LentTo     *string           `json:"lent_to"`
	LongestMm  *measure.Length   `json:"longest_mm"`
	Knots      *int              `json:"knots"`
	Quarantine *stash.Quarantine `json:"quarantine"`
	Reserve    *stash.Reserve    `json:"reserve"`
}

// PackageNotesOf is what was noted of each package that a plan takes.
func PackageNotesOf(p stash.Package) PackageNotes {
	n := PackageNotes{
		Acquired: stash.Known(p.Acquired), Price: p.Price, Source: stash.Known(p.Source), Note: stash.Known(p.Note),
		LentTo:     stash.Known(p.LentTo),
		Quarantine: p.Quarantine, Reserve: p.Reserve,
	}
	if p.Longest > 0 {
		n.LongestMm = &p.Longest
	}
	if p.Knots > 0 {
		n.Knots = &p.Knots
	}
	return n
}

func knotWords(knots int) string {
	if knots == 0 {
		return ""
	}
	return fmt.Sprintf("%d, so %d lengths", knots, knots+1)
}
