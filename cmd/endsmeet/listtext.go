package main

import (
	"fmt"
	"io"
	"math"

	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// printList writes one line for each item. What the note cannot hold whole goes
// on a line below its item: a warning is never cut.
func printList(w io.Writer, lines []listLine, units measure.System) {
	if len(lines) == 0 {
		fmt.Fprintln(w, "Nothing here yet. Record your first yarn: endsmeet receive NAME --net WEIGHT")
		return
	}
	t := newTable("tag", "yarn", "form", "bin", ">left", ">about", ">±", "of what came", "note")
	for _, l := range lines {
		t.rows = append(t.rows, l.cells)
	}
	t.most = map[int]int{1: 30, 3: 8}
	t.spare, t.whole = []int{2, 6, 3}, true
	t.dropEmpty()
	t.print(w)
	fmt.Fprintln(w, totals(lines, units))
}

// printItems prints items as list does.
func printItems(w io.Writer, items []item, units measure.System) {
	lines := linesOf(items)
	for i, it := range items {
		lines[i].cells = listRow(it, units, false, isPlain(w))
	}
	printList(w, lines, units)
}

// listRow is the line of an item: its yarn and colour, what is left, and all
// that is to be said of it; with bars what is left of all that came in, in full
// without signs.
func listRow(it item, units measure.System, bars, inFull bool) []string {
	name := it.Yarn
	if it.pack.Colour != "" && !strings.Contains(name, it.pack.Colour) {
		name += ", " + it.pack.Colour
	}
	notes := it.Flags
	if inFull {
		notes = inWords(notes)
	}
	if it.State != "here" {
		notes = append([]string{strings.ToUpper(it.State)}, notes...)
	}
	row := []string{it.Tag, stash.Clean(name), string(it.pack.Form), stash.Clean(it.pack.Bin), "?",
		"?", "", "", strings.Join(notes, ", ")}
	if bars {
		row[7] = leftBar(it.pack)
	}
	if it.amount.Known {
		row[4] = roundMass(it.amount.Net, units)
	}
	if it.amount.LengthKnown && !it.pack.Overdrawn() {
		u := it.amount.High - it.amount.Length
		row[5], row[6] = roundYarn(it.amount.Length, u, units), roundYarn(u, u, units)
	}
	return row
}

// roundMass is a mass in whole grams or tenths of an ounce, which is what a
// kitchen scale tells.
func roundMass(m measure.Mass, units measure.System) string {
	if units == measure.Imperial {
		return fmt.Sprintf("%.1f oz", float64(m)/28_349.523125)
	}
	return fmt.Sprintf("%.0f g", float64(m)/float64(measure.Gram))
}

// roundYarn is a length of yarn to the first digit of its uncertainty.
func roundYarn(l, u measure.Length, units measure.System) string {
	unit, one := "m", float64(measure.Metre)
	if units == measure.Imperial {
		unit, one = "yd", 914.4
	}
	step := 1.0
	if u > 0 {
		step = math.Pow(10, math.Floor(math.Log10(float64(u)/one)))
	}
	if step < 1 {
		return fmt.Sprintf("%.1f %s", float64(l)/one, unit)
	}
	return fmt.Sprintf("%.0f %s", math.Round(float64(l)/one/step)*step, unit)
}
