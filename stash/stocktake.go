package stash

import "strings"

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
