package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// goldenScreens are the main screens, as a weaver asks for them on the stash of the demo
// after another piece went on the loom and yarns with names of every script came in.
var goldenScreens = [][]string{
	nil, {"list"}, {"list", "--bin", names[0]}, {"show", "Y13"}, {"show", "N1"},
	{"plan", "tea towels"}, {"plan", names[0]}, {"another", "moss scarf"}, {"another", names[0]},
	{"start", "tea towels", "--dry-run"}, {"start", "moss scarf", "--weft", "Y19", "--dry-run"},
	{"finish", names[0], "--length", "148cm", "--width", "24cm", "--tape", "165cm",
		"--weighed", "N3=1kg", "--dry-run"},
	{"loom", names[0], "--woven", "80cm", "--dry-run"},
	{"fits"}, {"fits", "scarf", "--for", "Tamsel"}, {"suits", "Tamsel"}, {"idle"}, {"check"},
	{"share", "tea towels", "moss scarf"}, {"next"}, {"together", "Y13", "Y15"}, {"worth"},
	{"worth", "N1"}, {"card", "moss scarf 1"}, {"history", "N1"},
}

// goldenLayouts are the ways in which a screen is read, each with a file of what it shows.
var goldenLayouts = []struct {
	name    string
	columns int
	options []string
}{{"40", 40, nil}, {"80", 80, nil}, {"120", 120, nil}, {"pipe", 0, nil},
	{"plain", 0, []string{"--plain"}}}

// goldenDesk is the stash that goldenScreens are of.
func goldenDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.run("demo", "--in", d.path("demo"))
	t.Chdir(d.path("demo"))
	d.dir = ""
	for i, name := range names {
		d.run("receive", name, "--fibre", "wool 60, mohair 40", "--count", "8/2 NeW", "--net",
			"1.2kg", "--colour", name, "--bin", name, "--shedding", "2", "--odour", "smoke",
			"--bleeds", "yes", "--price", "12 EUR", "--tag", "N"+string(rune('1'+i)))
	}
	size := []string{"--sett", "6/cm", "--picks", "6/cm", "--structure", "plain"}
	d.run(append([]string{"project", "add", names[0], "--kind", "scarf", "--width", "25cm",
		"--length", "150cm", "--warp", "N3", "--weft", "N4"}, size...)...)
	d.run("start", names[0], "--override", "a sample came out well")
	d.run(append([]string{"project", "add", "tea towels", "--kind", "towel", "--warp", "Y01",
		"--weft", "Y01", "--width", "45cm", "--length", "70cm", "--hem", "4cm", "--pieces", "2",
		"--due", "2026-03-20"}, size...)...)
	return d
}

// TestMainScreens holds the main screens against testdata/screens, in every layout.
// With -update they are written anew: read them as a weaver would.
func TestMainScreens(t *testing.T) {
	folder, err := filepath.Abs(filepath.Join("..", "..", "testdata", "screens"))
	if err != nil {
		t.Fatal(err)
	}
	d := goldenDesk(t)
	for _, layout := range goldenLayouts {
		d.env.columns, d.env.errorColumns = layout.columns, layout.columns
		var all strings.Builder
		for _, args := range goldenScreens {
			d.try(t.Context(), slices.Concat(args, layout.options)...)
			fmt.Fprintf(&all, "$ endsmeet %s\n%s%s\n", strings.Join(args, " "), d.out.String(),
				d.err.String())
		}
		file := filepath.Join(folder, layout.name+".txt")
		if *update {
			if err := os.WriteFile(file, []byte(all.String()), 0o600); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got := all.String(); got != string(want) {
			t.Errorf("%s: -update rewrites it\n%s", file, firstDifference(got, string(want)))
		}
	}
}

// TestColourOnlyRepeatsWords: without its colours a screen is what it is where there are none,
// no text has two colours, and what is for a program has none.
func TestColourOnlyRepeatsWords(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	d.env.columns = 80
	colourOf := map[string]string{}
	for _, args := range append(slices.Clone(walked), []string{"suits", "Mira"}) {
		d.env.colour = false
		want := d.run(args...)
		d.env.colour = true
		got := d.run(args...)
		if bare := sgr.ReplaceAllString(got, "$2"); bare != want || strings.Contains(bare, "\x1b") {
			t.Errorf("%q without colours: %s", args, firstDifference(bare, want))
		}
		for _, cell := range sgr.FindAllStringSubmatch(got, -1) {
			if had, is := colourOf[cell[2]]; is && had != cell[1] {
				t.Errorf("%q is told apart by its colour alone", cell[2])
			}
			colourOf[cell[2]] = cell[1]
		}
	}
	for _, option := range []string{"--json", "--plain"} {
		if said := d.run("suits", "Mira", option); strings.Contains(said, "\x1b") {
			t.Errorf("%s has colours: %s", option, said)
		}
	}
	if colourOf["no"] == "" || colourOf["check first"] == "" || colourOf["no"] == colourOf["check first"] {
		t.Errorf("the colours of words: %q", colourOf)
	}
}

// sgr matches a text in a colour.
var sgr = regexp.MustCompile(`\x1b\[([0-9]+)m([^\x1b]*)\x1b\[0m`)

func TestNobodyGetsColoursThatTheyDoNotWant(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		term, no string
		want     bool
	}{{"xterm-256color", "", true}, {"xterm", "1", false}, {"dumb", "", false}, {"", "", false}} {
		e := environment{getenv: func(name string) string {
			return map[string]string{"TERM": tt.term, "NO_COLOR": tt.no}[name]
		}}
		if got := e.showsColour(); got != tt.want {
			t.Errorf("TERM=%q NO_COLOR=%q: %v", tt.term, tt.no, got)
		}
	}
}

// firstDifference shows where two texts part.
func firstDifference(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d: %q, want %q", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(a), len(b))
}
