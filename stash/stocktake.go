package stash

import (
	"fmt"
	"math"
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

// Counted is what a package was expected to hold and what a stocktake read.
type Counted struct{ Expected, Read measure.Mass }

// What readings that are all off in one way have in common (common practice, no source):
// there are so many of them, and they lie so near to each other.
const (
	offAtLeast = 3
	offMass    = 3 * measure.Gram
	offApart   = 2 * measure.Gram
	offTimes   = 1.04
	offSpread  = 1.03
	gramsPerOz = 28.349523125 // the international pound, exactly
)

// AllOff asks about the readings of a stocktake that are all off by about the same weight,
// or all by about the same factor: the scale is likelier than the yarn. Empty for others.
func AllOff(all []Counted, units measure.System) string {
	least, most := measure.Mass(math.MaxInt64), measure.Mass(math.MinInt64)
	low, high := math.Inf(1), 0.0
	for _, c := range all {
		least, most = min(least, c.Read-c.Expected), max(most, c.Read-c.Expected)
		times := float64(c.Read) / float64(c.Expected)
		low, high = min(low, times), max(high, times)
	}
	middle := (least + most) / 2
	switch {
	case len(all) < offAtLeast:
		return ""
	case least >= offMass && most-least <= max(offApart, middle/10):
		return fmt.Sprintf("All %d are about %s heavier than expected: were the cones weighed with them, or did the scale not begin at nought?",
			len(all), middle.Whole(units))
	case most <= -offMass && most-least <= max(offApart, -middle/10):
		return fmt.Sprintf("All %d are about %s lighter than expected: were the cones taken off twice, or did the scale not begin at nought?",
			len(all), (-middle).Whole(units))
	case high > low*offSpread || low < offTimes && high > 1/offTimes:
		return ""
	case near(low, gramsPerOz), near(low, 1/gramsPerOz):
		return fmt.Sprintf("All %d are off by as much as an ounce is of a gram: is the unit of the readings right?", len(all))
	}
	return fmt.Sprintf("All %d are about %.2g times what was expected: does the scale show a known weight right?",
		len(all), math.Sqrt(low*high))
}

// near says whether two factors are the same within what one reading is off.
func near(a, b float64) bool { return max(a/b, b/a) <= offTimes }
