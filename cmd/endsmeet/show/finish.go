package show

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// mostLearned is how many lessons of a piece are told without the sums.
const mostLearned = 4

// EarlierDebits are those of a piece, in the order of the shelf.
func EarlierDebits(before making.Shelf, piece stash.PieceID) []earlierDebit {
	var out []earlierDebit
	for _, p := range before.Packages {
		if mass := p.UsedIn[piece]; mass > 0 {
			out = append(out, earlierDebit{p.ID, p.Label(), mass})
		}
	}
	return out
}

// PrintFinished answers within a screen; with sums it goes on with all that was
// planned against what came out.
func PrintFinished(w io.Writer, f Finished, r Recipient, units measure.System, sums, bars bool) {
	fmt.Fprintf(w, "%s is finished.\n", stash.Clean(f.Piece))
	PrintWorse(w, f.Verdicts)
	fmt.Fprintln(w)
	Fact(w, "Used", usedWords(f, units))
	for _, e := range f.Earlier {
		Fact(w, "Before", fmt.Sprintf("%s of %s had gone in before, weighed or used while it was on the loom", e.Mass.Format(units), e.Tag))
	}
	for i, it := range f.After {
		text := it.Line(units)
		if words := apartWords(it.Apart, units); words != "" {
			text += ", of which " + words
		}
		Fact(w, []string{"Left", ""}[min(i, 1)], text)
	}
	if len(f.Asked) == 0 {
		printLearned(w, f, units)
		for _, l := range f.NotLearned {
			Fact(w, "Not", fmt.Sprintf("learned from: %s, since %s",
				learn.InWords(l.Name), l.Why))
		}
	}
	if sums && len(f.Compared) > 0 {
		fmt.Fprintln(w)
		PrintCompared(w, f.Compared, units, bars)
	}
	printAsked(w, f)
	PrintCautions(w, r, f.Verdicts)
	fmt.Fprintln(w, "\nAnother? "+stash.Command("another", stash.Clean(f.Piece)))
	if !sums && len(f.Compared) > 0 {
		fmt.Fprintln(w, "Planned against measured: "+stash.Command("show --sums",
			stash.Clean(f.Piece)))
	}
}

// PrintAbandoned tells what a piece took that was cut off the loom, what is left, and what
// nobody knows before it is weighed.
func PrintAbandoned(w io.Writer, piece string, f Finished, units measure.System) {
	fmt.Fprintf(w, "%s is abandoned.\n\n", piece)
	Fact(w, "Used", usedWords(f, units))
	for i, it := range f.After {
		Fact(w, []string{"Left", ""}[min(i, 1)], it.Line(units))
	}
	computed := func(d StashDebit) bool { return !d.Measured }
	switch {
	case len(f.Debits) == 0:
		fmt.Fprintln(w, "\nIf some was wound or woven, weigh what is left of its yarn.")
	case slices.ContainsFunc(f.Debits, computed):
		fmt.Fprintln(w, "\nThe warp counts as wound. Weigh what is left of the yarn, weft too:",
			"the weight tells.")
	}
}

// usedWords says what each package gave and how that is known.
func usedWords(f Finished, units measure.System) string {
	var parts []string
	for _, d := range f.Debits {
		if d.Mass == 0 && len(f.Earlier) > 0 {
			continue // it went in before
		}
		how := "computed: weigh it"
		if d.Measured {
			how = "weighed"
		}
		parts = append(parts, fmt.Sprintf("%s %s as %s, %s", d.Tag, d.Mass.Format(units), d.Role,
			how))
	}
	switch {
	case len(parts) > 0:
	case len(f.Earlier) > 0:
		return "nothing more than had gone in before"
	default:
		return "nothing: no yarn is planned for it or was weighed"
	}
	return strings.Join(parts, "; ")
}

// printLearned tells what came out otherwise than planned and why, the losses
// that the next piece is planned with.
func printLearned(w io.Writer, f Finished, units measure.System) {
	told := 0
	for _, row := range f.Compared {
		learned := row.Unit == learn.PerMillion || row.Unit == learn.Millitex
		left := slices.ContainsFunc(f.NotLearned,
			func(l learn.LeftOut) bool { return l.Name == row.Name })
		if row.Reason == "as planned" || row.Reason == learn.CannotBe || !learned || left ||
			told == mostLearned {
			continue
		}
		planned, actual := row.Words(units)
		Fact(w, []string{"Learned", ""}[min(told, 1)],
			fmt.Sprintf("%s %s, not %s: %s", learn.InWords(row.Name), actual,
				planned, row.Reason))
		told++
	}
}

// Finished is the JSON shape of a finish.
type Finished struct {
	Piece  string        `json:"piece"`
	ID     stash.PieceID `json:"id"`
	Debits []StashDebit  `json:"debits"`
	// Earlier is what had gone in before the finish.
	Earlier  []earlierDebit `json:"earlier"`
	Compared []learn.Row    `json:"planned_vs_actual"`
	// NotLearned are the measures that cannot be true.
	NotLearned []learn.LeftOut `json:"not_learned"`
	// Asked are the measures that jump against what was learned: nothing is learned from
	// the piece until the weaver says.
	Asked    []learn.LeftOut `json:"asked"`
	Thrums   []StashThrums   `json:"thrums"`
	Cautions []Caution       `json:"cautions"`
	Verdicts verdict.Verdict `json:"verdicts"`

	After []Item `json:"-"`
}

// StashDebit is what a package gave to a piece.
type StashDebit struct {
	ID       stash.PackageID `json:"id"`
	Tag      string          `json:"tag"`
	Role     stash.Role      `json:"role"`
	Mass     measure.Mass    `json:"mass_mg"`
	Length   *measure.Length `json:"length_mm"`
	Measured bool            `json:"measured"`
}

// earlierDebit is what a package had given to the piece before it was finished.
type earlierDebit struct {
	ID   stash.PackageID `json:"id"`
	Tag  string          `json:"tag"`
	Mass measure.Mass    `json:"mass_mg"`
}

// StashThrums is the thrums that went back to the shelf.
type StashThrums struct {
	ID   stash.PackageID `json:"id"`
	Mass measure.Mass    `json:"mass_mg"`
}

// hoursText writes minutes as hours and minutes.
func hoursText(minutes int) string {
	return strconv.Itoa(minutes/60) + ":" + strconv.Itoa(minutes%60/10) + strconv.Itoa(minutes%10) +
		" h"
}

// PrintCompared prints what was planned against what was measured, with bars of how
// far off that is where they are drawn.
func PrintCompared(w io.Writer, rows []learn.Row, units measure.System, bars bool) {
	if columns := columnsOf(w); columns > 0 && columns < driftRoom {
		bars = false // the reasons need the room
	}
	heads := []string{"", ">planned", ">actual", "the reason"}
	if bars {
		heads = []string{"", ">planned", ">actual", ">off, a sign is 2%", "the reason"}
	}
	t := NewTable(heads...)
	for _, row := range rows {
		planned, actual := row.Words(units)
		cells := []string{strings.ReplaceAll(row.Name, "_", " "), planned, actual}
		if bars {
			cells = append(cells, drift(row.Planned, row.Actual))
		}
		t.AddWrapped(append(cells, row.Reason)...)
	}
	t.Print(w)
}

// printAsked prints what jumps against what was learned, and how to answer.
func printAsked(w io.Writer, f Finished) {
	if len(f.Asked) == 0 {
		return
	}
	fmt.Fprintln(w, "\nIs this right? Nothing is learned from the piece until you say.")
	for _, a := range f.Asked {
		fmt.Fprint(w, Wrap(verdict.Capital(a.Why), "  ", RoomOf(w)))
	}
	name := stash.Clean(f.Piece)
	fmt.Fprintf(w, "  It is: %s\n  Leave it out: %s\n", stash.Command("finish --learn yes", name),
		stash.Command("finish --learn no", name))
}
