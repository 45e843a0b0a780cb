package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// TestExamplesOfHelpDoWhatTheySay runs the examples of every page of help as they
// are written, on the stash that the demo makes.
func TestExamplesOfHelpDoWhatTheySay(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	inShell(t, dir, "endsmeet demo --in demo >demo.txt")
	e, seen := newDesk(t).env, 0
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		if c.Hidden || strings.HasPrefix(name, "sync") { // wants a second machine and a pass-phrase
			return
		}
		told := slices.DeleteFunc(slices.Clone(examples()[name]),
			func(x example) bool { return x.why == "" })
		if len(told) == 0 || len(told) < 3 && trivial[name] == "" {
			t.Errorf("%s has %d examples in help: write more into help/examples.txt", name, len(told))
		}
		if page := helpPage(c, "endsmeet "+name); strings.Count(page,
			"\n  endsmeet ") < len(examples()[name]) {
			t.Errorf("the page of %s does not show them", name)
		}
		of := filepath.Join(dir, "on", strings.ReplaceAll(name, " ", "-"))
		copiedTo(t, filepath.Join(dir, "demo"), of)
		for _, x := range examples()[name] {
			seen++
			if out, err := shell(of,
				"export ENDSMEET_STASH=stash.db; endsmeet "+x.command); err != nil {
				t.Errorf("%s: %v\n%s", x.command, err, out)
			} else if strings.Contains(out, "like that") {
				t.Errorf("%s finds nothing:\n%s", x.command, out)
			}
		}
	})
	if seen < 80 {
		t.Fatalf("only %d examples ran", seen)
	}
}

// trivial are the commands of which one example tells all, and why.
var trivial = map[string]string{
	"demo":         "it is given once, in a folder or not",
	"next":         "it takes no argument and no option of its own",
	"person list":  "it takes no argument",
	"person tests": "it takes no argument",
	"photo list":   "it only lists",
	"project list": "it takes no argument",
}

// copiedTo copies the files of a folder into a new one.
func copiedTo(t *testing.T, from, to string) {
	t.Helper()
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(to, "cone.png"), picture.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(to, "a1.txt"), []byte("Y01 398g\nY02 120g\n"),
		0o600); err != nil {
		t.Fatal(err)
	}
	// ids that the demo did not give
	if err := os.WriteFile(filepath.Join(to, ".count"), bytes.Repeat([]byte("."), 100), 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestExamplesAreReadInTheHabitOfWhoTypes: for a weaver who writes decimals with a comma
// 412,000g is 412g, in every option and argument.
func TestExamplesAreReadInTheHabitOfWhoTypes(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	inShell(t, dir, "endsmeet demo --in demo >demo.txt; cd demo; endsmeet --stash stash.db config decimal=comma")
	quantity := regexp.MustCompile(`([ =x'"])([1-9]\d{0,2})( ?(?:g|kg|mm|cm|m|in|oz)\b)`)
	e, seen := newDesk(t).env, 0
	leaves(commands(&e), "", func(name string, _ *cli.Command) {
		if !slices.ContainsFunc(examples()[name],
			func(x example) bool { return quantity.MatchString(x.command) }) {
			return
		}
		of := filepath.Join(dir, "on", strings.ReplaceAll(name, " ", "-"))
		copiedTo(t, filepath.Join(dir, "demo"), of)
		for _, x := range examples()[name] {
			seen++
			typed := quantity.ReplaceAllString(x.command, "$1$2,000$3")
			if out, err := shell(of, "export ENDSMEET_STASH=stash.db; endsmeet "+typed); err != nil {
				t.Errorf("%s: %v\n%s", typed, err, out)
			}
		}
	})
	if seen < 30 {
		t.Fatalf("only %d examples ran", seen)
	}
}
