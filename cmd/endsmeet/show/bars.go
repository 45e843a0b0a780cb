package show

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/stash"
)

// barCells is how wide a bar is.
const barCells = 10

// drawBar draws a part of a whole as signs and as a number, so that neither is needed.
func drawBar(percent int) string {
	n := (percent*barCells + 50) / 100
	if percent > 0 {
		n = max(1, n)
	}
	return fmt.Sprintf("%s%s %3d%%", strings.Repeat("#", n), strings.Repeat(".", barCells-n),
		percent)
}

// leftBar is what is left of all that a package received, "?" where nobody weighed
// it.
func leftBar(p stash.Package) string {
	if b := BarOf(p); b.Known {
		return drawBar(b.Percent)
	}
	return "?"
}

// driftCells is the most that a drift is drawn to each side; a sign is driftStep
// per cent.
const driftCells, driftStep = 5, 2

// driftRoom is from how wide a terminal drifts are drawn beside their reasons.
const driftRoom = 110

// drift draws how far a measure is from the planned one: less to the left, more to
// the right of a line, a sign for each two per cent, > or < where it is beyond.
func drift(planned, actual int64) string {
	if planned == 0 {
		return ""
	}
	off := 100 * float64(actual-planned) / math.Abs(float64(planned))
	n := int(math.Round(math.Abs(off) / driftStep))
	less, more := "", ""
	switch {
	case n > driftCells && off < 0:
		less = "<" + strings.Repeat("-", driftCells-1)
	case n > driftCells:
		more = strings.Repeat("+", driftCells-1) + ">"
	case off < 0:
		less = strings.Repeat("-", n)
	default:
		more = strings.Repeat("+", n)
	}
	dots := func(n int) string { return strings.Repeat(".", n) }
	return fmt.Sprintf("%s|%s ", dots(driftCells-len(less))+less, more+dots(driftCells-len(more))) +
		strings.Replace(fmt.Sprintf("%+.1f%%", off), "-", "−", 1)
}
