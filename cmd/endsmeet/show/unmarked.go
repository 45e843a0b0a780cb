package show

import (
	"fmt"
	"io"
	"strings"

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
func PrintUnmarked(w io.Writer, all []UnmarkedShape, one bool, units measure.System) {
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
		if len(u.Lacks) > 0 && len(u.Do)+len(u.Tests) == 0 {
			fmt.Fprint(w, Wrap("It lacks: "+strings.Join(u.Lacks, "; ")+". No test at home tells more than is recorded: the seller or a laboratory may.", "", PageWidth))
		}
		for _, m := range u.Do {
			fmt.Fprint(w, "\n"+Wrap(m.What, "", PageWidth)+Wrap("It settles "+m.Settles+".", "  ",
				PageWidth)+Wrap(m.Do, "  ", PageWidth))
		}
		for i, t := range u.Tests {
			printTest(w, i+1, t)
		}
		if len(u.Tests) > 0 {
			fmt.Fprint(w, "\n"+Wrap("What a test shows is never sure: \"animal, of unknown kind\" counts as wool for everybody who reacts to it. Ask the person. The chances behind the order are common practice without a source.", "", PageWidth))
		}
	}
}

func printLacking(w io.Writer, all []UnmarkedShape, units measure.System) {
	if len(all) == 0 {
		fmt.Fprintln(w, "Every yarn has a fibre and a count that was measured or is from a label.")
		return
	}
	t := NewTable("yarn", "items", ">left", "lacks")
	for _, u := range all {
		t.AddWrapped(30, Cut(stash.Clean(u.Yarn), 26), fewOf(u.Items), u.Net.Format(units),
			strings.Join(u.Lacks, "; "))
	}
	t.Print(w)
	fmt.Fprintf(w, "What to do next: %s\n", stash.Command("unmarked", all[0].Items[0]))
}

func fewOf(items []string) string {
	if len(items) > 2 {
		return fmt.Sprintf("%s and %d more", items[0], len(items)-1)
	}
	return strings.Join(items, ", ")
}

func printTest(w io.Writer, n int, t TestShape) {
	fmt.Fprint(w, "\n"+Wrap(fmt.Sprintf("%d. %s. %s", n, strings.ToUpper(t.Name[:1])+t.Name[1:],
		t.How), "", PageWidth))
	for _, c := range t.Cautions {
		fmt.Fprint(w, Wrap("! "+c, "  ", PageWidth))
	}
	for _, s := range t.Signs {
		text := s.Shows
		if s.Record == nil {
			text += ": settles nothing"
		} else if len(s.Settles) > 0 {
			text += " (" + strings.Join(s.Settles, "; ") + ")"
		}
		fmt.Fprint(w, Wrap("- "+text, "  ", PageWidth))
		if s.Record != nil {
			fmt.Fprint(w, Wrap(*s.Record, "    ", 200))
		}
	}
	fmt.Fprint(w, Wrap(t.Misleads+" ["+t.Source+"]", "  ", PageWidth))
}
