package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

// engineers are words that no error says to a weaver.
var engineers = regexp.MustCompile(`(?i)\b(nil|null|invalid|pars(e|ed|er|ing)|tokens?|EOF|` +
	`constraints?|sql|sqlite|syntax|regexp?|schema|arguments?|parameters?|boolean|integer|` +
	`float|unexpected|malformed|exception|panic|no such file or directory|bad message|` +
	`is a directory|not a directory|permission denied|input/output error|lane|events?|` +
	`segment|epoch|vault|packages?|strconv|unmarshal|json: |standard input)\b`)

// mistaken are values that hardly an option takes.
func mistaken(d *desk) []string {
	few := []string{"", "banana", d.dir}
	if os.Getenv("ENDSMEET_LONG") == "" {
		return few
	}
	return append(few, "-5", "12,34,56", "31.31.2026", d.path("not there"), "=",
		strings.Repeat("9", 40))
}

// TestEveryErrorIsASentenceAndSaysWhatToType provokes errors of every command: too few
// and too many words, unknown names and options, and for every option values that are
// none. On a terminal an error is a sentence, then what to type, within its width.
func TestEveryErrorIsASentenceAndSaysWhatToType(t *testing.T) {
	d := wideDesk(t)
	short, err := os.MkdirTemp("", "e")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(short) })
	d.run("backup", filepath.Join(short, "stash.db"))
	d.dir, d.env.errorColumns = short, 80
	t.Chdir(short)
	d.file("junk.txt", "hello\n")
	seen := map[string]bool{}
	told := 0
	try := func(args ...string) {
		dry := append([]string{"--no-input"}, args...)
		code := d.try(context.Background(), dry...)
		if code == exitDone || seen[d.err.String()] {
			return
		}
		seen[d.err.String()] = true
		told++
		said := d.err.String()
		if wrong := formOf(said, d.namesSomething); wrong != "" {
			t.Errorf("%q: %s:\n%s", args, wrong, said)
		}
	}
	leaves(commands(&d.env), "", func(name string, c *cli.Command) {
		if c.Hidden || name == "demo" || name == "stocktake" {
			return
		}
		words := strings.Fields(name)
		with := func(more ...string) { try(append(slices.Clone(words), more...)...) }
		with()
		with("--nosuch")
		for n := 1; n < 3; n++ {
			with(slices.Repeat([]string{"nosuchname"}, n)...)
			with(append([]string{"N1"}, slices.Repeat([]string{"banana"}, n-1)...)...)
			with(append([]string{"Mira"}, slices.Repeat([]string{"N2"}, n-1)...)...)
			with(append([]string{names[0]}, slices.Repeat([]string{"a=b"}, n-1)...)...)
		}
		with(d.path("not there"))
		with(d.dir)
		with(d.path("junk.txt"))
		with(d.path("junk.txt") + "/under")
		firsts := d.firstWords(words, c)
		for _, flag := range c.Flags {
			if _, isBool := flag.(*cli.BoolFlag); isBool {
				continue
			}
			for _, value := range mistaken(d) {
				for _, first := range firsts {
					with(append(slices.Clone(first), "--"+flag.Names()[0]+"="+value)...)
				}
			}
		}
	})
	if told < 200 {
		t.Fatalf("only %d errors were seen", told)
	}
}

// firstWords are words that may stand before the options of a command: none where it wants
// none, else those whose names it knows; all that are as many where time does not matter.
func (d *desk) firstWords(name []string, c *cli.Command) [][]string {
	var all, known [][]string
	for _, first := range [][]string{{"N1"}, {"N1", "5g"}, {names[0]}, {"Mira"}} {
		if len(first) != max(1, strings.Count(c.ArgsUsage, " ")+1) {
			continue
		}
		all = append(all, first)
		d.try(context.Background(), slices.Concat([]string{"--no-input", "--dry-run"}, name, first)...)
		if !strings.Contains(d.err.String(), first[0]) {
			known = append(known, first)
		}
	}
	if os.Getenv("ENDSMEET_LONG") != "" || len(known) == 0 {
		return append(all, nil)
	}
	if len(needed(c.ArgsUsage)) == 0 {
		known = append(known, nil)
	}
	return known
}

// namesSomething says whether a word is one that was typed or the id of an item, by which
// an item without a tag is called.
func (d *desk) namesSomething(word string) bool {
	return strings.Contains("banana nosuchname "+d.run("list", "--ids", "--retired"), word)
}

// formOf is what is wrong with the form of an error, empty where nothing is.
func formOf(text string, isName func(word string) bool) string {
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "endsmeet:") })
	if at < 0 {
		return "no error is told"
	}
	said := typedWords.ReplaceAllString(strings.Join(lines[at:], "\n"), "")
	first := strings.TrimPrefix(lines[at], "endsmeet: ")
	for _, line := range lines[at:] {
		if show.Cells(line) > 80 && !unbreakable(line, 80) {
			return fmt.Sprintf("%d cells in %q", show.Cells(line), line)
		}
	}
	last := lines[len(lines)-1]
	switch {
	case len(lines)-at > 5 && !strings.Contains(said, ":\n") && !strings.Contains(said, "Say which: "): // a list to choose from
		return fmt.Sprintf("is %d lines long", len(lines)-at)
	case plainStart.MatchString(first) && !isName(strings.Fields(first)[0]):
		return "begins small"
	case engineers.MatchString(said):
		return fmt.Sprintf("says %q", engineers.FindString(said))
	case len(lines) == at+1 && !strings.Contains(last, "endsmeet ") && !strings.Contains(last, "--"):
		return "does not say what to type"
	case !strings.ContainsRune(".?!`", rune(last[len(last)-1])) && !strings.Contains(said,
		"endsmeet ") && !strings.HasSuffix(last, ".\""):
		return "has no full stop"
	}
	return ""
}

// typedWords are what is typed: names in quotation marks, options, commands.
var typedWords = regexp.MustCompile("\"[^\"]*\"|`[^`]*`|--[a-z-]+")

var plainStart = regexp.MustCompile(`^[a-z]+[ ,]`)
