package main

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// names are names of yarns that are not as wide as they are long: wide characters,
// characters that join the one before, and writing from right to left.
var names = []string{"黒い綿の糸とても長い名前の糸",
	"Fo\u0301rda\u030Arull\u0308 me\u0308d la\u030Angt na\u0308mn", "חוט כותנה דק מאוד לשתי",
	"A yarn of a name so long that no screen has room for it beside anything else"}

// wideDesk is a stash whose yarns have such names, with all that a list can warn of.
func wideDesk(t *testing.T) *desk {
	d := disputedDesk(t)
	for i, name := range names {
		d.run("receive", name, "--fibre", "wool 60, mohair 40", "--count", "8/2 NeW", "--net",
			"400g", "--colour", name, "--bin", "B"+name,
			"--shedding", "2", "--odour", "smoke", "--bleeds", "yes", "--tag",
			"N"+string(rune('1'+i)))
	}
	d.run("set", "N1", "quarantine=2026-02-01 moths were seen")
	d.run("project", "add", names[0], "--kind", "scarf", "--width", "25cm", "--length", "150cm",
		"--sett", "6/cm", "--picks", "6/cm", "--structure", "plain",
		"--warp", "N3", "--weft", "N4", "--for", "Mira")
	return d
}

// walked are the screens of every command that shows something of a stash.
var walked = append([][]string{
	nil, {"list"}, {"list", "--bin", "B"}, {"show", "N1"}, {"show", names[3]}, {"show", names[0]},
	{"history"}, {"check"}, {"project", "list"}, {"plan", names[0]},
	{"plan", names[0], "--sums"}, {"fits"}, {"fits", "scarf"},
	{"fits", "scarf", "--sums", "--top", "2"}, {"share", names[0]}, {"idle"}, {"idle", "--sums"},
	{"suits", "Mira"},
	{"suits", "Mira", "--sums"}, {"together", "N3", "N4"}, {"person", "list"},
	{"person", "show", "Mira"}, {"person", "presets"}, {"person", "tests"},
	{"config"}, {"help"}, {"help", "fibres"}, {"help", "counts"}, {"help", "settings"},
	{"help", "json"}, {"help", "sql"}, {"help", "receive"},
	{"due"}, {"next"}, {"unmarked"}, {"like", "N1"}, {"trend"}, {"worth"}, {"worth", "N1"},
	{"year"}, {"photo", "list"}, {"project", "show", names[0]},
}, screens...)

// screenless are the commands that only read and show no screen of the stash.
var screenless = []string{"book", "stickers", "photo save", "another", "card", "export", "backup",
	"restore", "demo", "completion", "help", "sync"}

func TestEveryCommandThatShowsIsWalked(t *testing.T) {
	t.Parallel()
	for _, name := range onlyReads {
		if !slices.Contains(screenless, name) && !slices.ContainsFunc(walked,
			func(args []string) bool { return len(args) > 0 && wholeName(args) == name }) {
			t.Errorf("%s shows something: put a run of it among walked", name)
		}
	}
}

func TestNoScreenIsWiderThanItIs(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	for _, columns := range []int{40, 80, 120} {
		d.env.columns = columns
		for _, args := range walked {
			for line := range strings.SplitSeq(d.run(args...), "\n") {
				if show.Cells(line) > columns && !unbreakable(line, columns) {
					t.Errorf("%q at %d columns: %d cells in %q", args, columns, show.Cells(line),
						line)
				}
			}
		}
	}
}

// unbreakable says whether a line is not to be broken: a command that may be
// pasted, one word too long for a screen.
func unbreakable(line string, columns int) bool {
	text := strings.TrimSpace(line)
	words := show.Unbroken(text)
	return strings.HasPrefix(text, "endsmeet ") || len(words) == 1 &&
		show.Cells(words[0]) > columns-4
}

// TestNoWarningIsCutOff: whatever the width, every flag of every item is on the
// list, whole.
func TestNoWarningIsCutOff(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	var items []show.Item
	if err := json.Unmarshal([]byte(d.run("--json", "list")), &items); err != nil ||
		len(items) < 7 {
		t.Fatal(err, len(items))
	}
	for _, columns := range []int{0, 40, 80, 120} {
		d.env.columns = columns
		for _, plain := range []bool{false, true} {
			args := []string{"list"}
			if plain {
				args = append(args, "--plain")
			}
			shown := strings.Join(strings.Fields(d.run(args...)), " ")
			for _, it := range items {
				for _, flag := range it.Flags {
					if plain {
						flag = show.FlagWords(flag)
					}
					if !strings.Contains(shown, flag) {
						t.Errorf("%q at %d columns: no %q of %s in %s", args, columns, flag, it.Tag,
							shown)
					}
				}
			}
		}
	}
}

// TestPlainIsToListenTo: no drawing, no sign that carries meaning, nothing in
// columns.
func TestPlainIsToListenTo(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	for _, args := range walked {
		said := d.run(append(slices.Clone(args), "--plain")...)
		for _, sign := range []string{"±", "×", "###", "|--", "\x1b"} {
			if strings.Contains(said, sign) {
				t.Errorf("%q says %q in\n%s", args, sign, said)
			}
		}
		for line := range strings.SplitSeq(said, "\n") {
			if strings.Contains(strings.TrimLeft(line, " "), "   ") {
				t.Errorf("%q sets in columns: %q", args, line)
			}
		}
	}
	d.run("config", "plain=yes")
	if said := d.run("list"); strings.Contains(said, "±") || !strings.Contains(said, "\n  yarn: ") {
		t.Errorf("the setting does not hold: %s", said)
	}
}

func TestAPipeIsToldEverything(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	for _, args := range walked {
		if said := d.run(args...); strings.Contains(said, "…") {
			t.Errorf("%q cuts in a pipe: %s", args, said)
		}
	}
	if said := d.run("list"); !strings.Contains(said, stash.Clean(names[3])) {
		t.Error(said)
	}
}
