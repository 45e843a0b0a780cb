package stash

import (
	"fmt"
	"strings"

	"endsmeet/stash/measure"
)

// Awaited says whether a stocktake of a bin should find the package there: it is
// not retired, not lent, and does not hold nothing. An empty bin is every bin.
func (p Package) Awaited(bin string) bool {
	here := bin == "" || strings.EqualFold(p.Bin, bin)
	return here && p.Yarn != "" && !p.Retired && p.LentTo == "" && (!p.Known || p.Held != 0)
}

// Countable refuses to count a package that cannot be on the shelf as the ledger
// has it.
func (p Package) Countable() error {
	switch {
	case p.Retired:
		return Refuse(CodeRetired,
			"If it is there after all, undo its retirement: `"+Command("history",
				p.Label())+"` shows it.", "%s is retired.", p.Label())
	case p.LentTo != "":
		return Refuse(CodeRefused, "If it is back: "+Command("return", p.Label()),
			"%s is on loan to %s.", p.Label(), Clean(p.LentTo))
	}
	return nil
}

// How far a reading may be from what is expected before it is asked about: twice
// all that ever came in, or less than a fifth of what should be there. A decimal
// point in the wrong place is ten times off, ounces taken for grams 28 times
// (the bounds: common practice, no source).
const (
	suspectAbove = 2
	suspectBelow = 5
)

// Suspect says what makes a reading look like a slip, as a sentence; empty where
// nothing does.
func (p Package) Suspect(r Reading, units measure.System) string {
	if !p.Known || !r.Given() || p.Held <= 0 {
		return ""
	}
	shown, tare := r.NetWith(0), measure.Mass(0)
	if r.Gross != nil {
		shown, tare = *r.Gross, p.tare()
	}
	expected, most := p.Held+tare, p.Received+p.In+tare
	if shown <= suspectAbove*max(most, expected) && shown*suspectBelow >= expected {
		return ""
	}
	return fmt.Sprintf("%s should show about %s, not %s. Is it the right item, unit and decimal point?",
		p.Label(), expected.Format(units), shown.Format(units))
}
