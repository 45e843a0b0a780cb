package show

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// shelfSum is what there is of items in all. Of what is overdrawn or was never
// weighed nothing is counted.
type shelfSum struct {
	net, available       measure.Mass
	unweighed, overdrawn int
	// kept are the states of what is not available.
	kept []string
}

func sumOf(lines []ListLine) shelfSum {
	var s shelfSum
	for _, l := range lines {
		if !l.known {
			s.unweighed++
			continue
		}
		if l.overdrawn {
			s.overdrawn++
			continue
		}
		s.net += l.Net
		s.available += l.available
		if l.available < l.Net && !slices.Contains(s.kept, l.state) {
			s.kept = append(s.kept, l.state)
		}
	}
	return s
}

// Totals says how much there is, how much of it can be woven now, and what keeps
// the remainder.
func Totals(lines []ListLine, units measure.System) string {
	s := sumOf(lines)
	text := fmt.Sprintf("%s, %s. Available: %s.", measure.Counted(len(lines), "item"),
		s.net.Format(units),
		s.available.Format(units))
	if s.net > s.available {
		text += fmt.Sprintf(" Not available: %s (%s).", (s.net - s.available).Format(units),
			strings.Join(s.kept, ", "))
	}
	if s.unweighed > 0 {
		text += fmt.Sprintf(" Not weighed: %d.", s.unweighed)
	}
	if s.overdrawn > 0 {
		text += fmt.Sprintf(" Overdrawn and not counted: %d.", s.overdrawn)
	}
	return text
}

// PrintNothingYet says of an empty stash how to begin.
func PrintNothingYet(w io.Writer) {
	fmt.Fprintln(w, "Nothing here yet. Record your first yarn: endsmeet receive NAME --net WEIGHT")
}

// PrintList writes one line for each item. What the note cannot hold whole goes
// on a line below its item: a warning is never cut.
func PrintList(w io.Writer, lines []ListLine, units measure.System) {
	if len(lines) == 0 {
		PrintNothingYet(w)
		return
	}
	t := NewTable("tag", "yarn", "form", "bin", ">left", ">about", ">±", "of what came", "note")
	for _, l := range lines {
		t.Rows = append(t.Rows, l.Cells)
	}
	t.most = map[int]int{1: 30, 3: 8}
	t.spare, t.Whole = []int{2, 6, 3}, true
	t.DropEmpty()
	t.Print(w)
	fmt.Fprintln(w, Totals(lines, units))
}

// PrintItems prints items as list does.
func PrintItems(w io.Writer, items []Item, units measure.System) {
	lines := LinesOf(items)
	for i, it := range items {
		lines[i].Cells = ListRow(it, units, false, IsPlain(w))
	}
	PrintList(w, lines, units)
}

// ListRow is the line of an item: its yarn and colour, what is left, and all
// that is to be said of it; with bars what is left of all that came in, in full
// without signs.
func ListRow(it Item, units measure.System, bars, inFull bool) []string {
	notes := slices.DeleteFunc(slices.Clone(it.Flags), func(f string) bool { return f == it.State })
	if inFull {
		notes = InWords(notes)
	}
	if i := slices.Index(notes, "reserved"); i >= 0 {
		notes[i] = stash.Clean(reservedNote(it.Pack))
	}
	if it.State != "here" {
		notes = append([]string{stash.Clean(stateNote(it))}, notes...)
	}
	row := []string{it.Tag, stash.Clean(YarnColour(it.Yarn, stash.Known(it.Pack.Colour))), string(it.Pack.Form), stash.Clean(it.Pack.Bin), "?",
		"?", "", "", strings.Join(notes, ", ")}
	if bars {
		row[7] = leftBar(it.Pack)
	}
	if it.Amount.Known {
		row[4] = it.Amount.Net.Whole(units)
	}
	if it.Amount.LengthKnown && !it.Pack.Overdrawn() {
		u := it.Amount.High - it.Amount.Length
		row[5], row[6] = roundYarn(it.Amount.Length, u, units), roundYarn(u, u, units)
	}
	return row
}

// stateNote is the state of an item as its line says it: to whom it is lent and until
// when, for what it is reserved.
func stateNote(it Item) string {
	note := strings.ToUpper(it.State)
	switch p := it.Pack; {
	case p.LentTo != "" && p.LentUntil != "":
		return note + " to " + p.LentTo + " until " + p.LentUntil
	case p.LentTo != "":
		return note + " to " + p.LentTo
	case it.State == "reserved":
		return reservedNote(p)
	}
	return note
}

// reservedNote says of an item that some of it is promised, and for what.
func reservedNote(p stash.Package) string {
	if p.Reserve == nil || p.Reserve.For == "" {
		return "RESERVED"
	}
	return "RESERVED " + reserveWords(p.Reserve, measure.Metric)
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

// WeighedUndated says of a weight that nobody said when it was read.
const WeighedUndated = "weighed, nobody says when"

// WeighedWords say when an item was weighed last.
func WeighedWords(it Item) string {
	switch {
	case it.Weighed != nil:
		return "weighed " + *it.Weighed
	case it.Pack.Known:
		return WeighedUndated
	}
	return "not weighed"
}
