package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// UnmarkedShape is the JSON shape of a yarn that lacks something.
type UnmarkedShape struct {
	Yarn  string        `json:"yarn"`
	Items []string      `json:"items"`
	Net   measure.Mass  `json:"net_mg"`
	Lacks []string      `json:"lacks"`
	Do    []MeasureStep `json:"measure"`
	Tests []TestShape   `json:"tests"`
	// Noted says to what a burning test that is noted points, null where none is.
	Noted *string `json:"noted"`
}

// MeasureStep is something to measure, and what it settles.
type MeasureStep struct {
	What    string `json:"what"`
	Settles string `json:"settles"`
	Do      string `json:"do"`
}

// TestShape is a test of yarn without a label.
type TestShape struct {
	Name     string      `json:"name"`
	How      string      `json:"how"`
	Bits     float64     `json:"tells_bits"`
	Misleads string      `json:"misleads"`
	Cautions []string    `json:"cautions"`
	Signs    []SignShape `json:"signs"`
	Source   string      `json:"source"`
}

// SignShape is what a test may show, what to record then, and whom it answers.
type SignShape struct {
	Shows   string   `json:"shows"`
	Record  *string  `json:"record"`
	Settles []string `json:"settles"`
}

// PrintUnmarked prints which test tells most next.
func PrintUnmarked(w io.Writer, all []UnmarkedShape, one, sums bool, units measure.System) {
	if !one {
		printLacking(w, all, units)
		return
	}
	for _, u := range all {
		fmt.Fprintf(w, "%s: %s, %s\n", stash.Clean(u.Yarn), strings.Join(u.Items, ", "),
			u.Net.Format(units))
		if len(u.Lacks) == 0 && len(u.Do) == 0 {
			fmt.Fprintln(w, "Fibre and count are recorded.")
		}
		if len(u.Lacks) > 0 {
			fmt.Fprint(w, Wrap("It lacks: "+strings.Join(u.Lacks, "; ")+".", "", RoomOf(w)))
		}
		for _, m := range u.Do {
			fmt.Fprint(w, "\n"+Wrap(m.What, "", RoomOf(w))+Wrap(settlesWords(m), "  ", RoomOf(w)))
			if m.Do != "" {
				fmt.Fprint(w, Wrap(m.Do, "  ", RoomOf(w)))
			}
		}
		printTests(w, u, sums)
	}
}

func settlesWords(m MeasureStep) string {
	if m.Do == "" {
		return "It is asked " + m.Settles + "."
	}
	return "It decides " + m.Settles + "."
}

// printTests prints the test that tells most, and names the others; with sums all.
func printTests(w io.Writer, u UnmarkedShape, sums bool) {
	told := u.Tests
	if !sums {
		told = told[:min(1, len(told))]
	}
	for i, t := range told {
		printTest(w, i+1, t)
	}
	if others := u.Tests[len(told):]; len(others) > 0 {
		names := make([]string, len(others))
		for i, t := range others {
			names[i] = t.Name
		}
		fmt.Fprint(w, "\n"+Wrap("Then: "+strings.Join(names, ", ")+". How, and how each can hurt:",
			"", RoomOf(w)))
		fmt.Fprintln(w, "  "+stash.Command("unmarked --sums", append(u.Items, u.Yarn)[0]))
	}
	if len(told) > 0 {
		fmt.Fprint(w, "\n"+Wrap("What a test shows is never sure: \"animal, of unknown kind\" counts as wool for everybody who reacts to it. Ask the person. The order is by chances that are common practice, no source.", "", RoomOf(w)))
	}
}

func printLacking(w io.Writer, all []UnmarkedShape, units measure.System) {
	if len(all) == 0 {
		fmt.Fprintln(w, "Every yarn has a fibre and a count that was measured or is from a label.")
		return
	}
	t := NewTable("yarn", "items", ">left", "lacks")
	for _, u := range all {
		t.AddWrapped(Cut(stash.Clean(u.Yarn), 26), stash.AndMore(u.Items, len(u.Items)), u.Net.Format(units),
			strings.Join(u.Lacks, "; "))
	}
	t.Print(w)
	fmt.Fprintf(w, "What to do next: %s\n", stash.Command("unmarked", all[0].Items[0]))
}

func printTest(w io.Writer, n int, t TestShape) {
	fmt.Fprint(w, "\n"+Wrap(fmt.Sprintf("%d. %s. %s", n, verdict.Capital(t.Name),
		t.How), "", RoomOf(w)))
	for _, c := range t.Cautions {
		fmt.Fprint(w, Wrap("! "+c, "  ", RoomOf(w)))
	}
	for _, s := range t.Signs {
		text := s.Shows
		if s.Record == nil {
			text += ": decides nothing"
		} else if len(s.Settles) > 0 {
			text += " (" + strings.Join(s.Settles, "; ") + ")"
		}
		fmt.Fprint(w, Wrap("- "+text, "  ", RoomOf(w)))
		if s.Record != nil {
			fmt.Fprint(w, Wrap(*s.Record, "    ", 200))
		}
	}
	fmt.Fprint(w, Wrap(t.Misleads+" ["+t.Source+"]", "  ", RoomOf(w)))
}
