package main

import (
	"bytes"
	"context"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/urfave/cli/v2"
	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/outside"
	"endsmeet/stash/stashtest"
)

// inside is an environment whose answers are kept, with a stash in a folder of
// its own.
func inside(t *testing.T) (e *environment, out *bytes.Buffer, folder string) {
	t.Helper()
	folder, out = t.TempDir(), &bytes.Buffer{}
	file := filepath.Join(folder, "stash.db")
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	e = &environment{
		stdin: strings.NewReader(""), stdout: out, stderr: out, machine: "test", work: 8,
		getenv: func(name string) string { return map[string]string{"ENDSMEET_STASH": file}[name] },
		now:    func() time.Time { return now }, ids: stashtest.CountingIDs(0),
	}
	return e, out, folder
}

// do runs a command that must end well.
func do(t *testing.T, e *environment, args ...string) {
	t.Helper()
	if code := run(context.Background(), e, append([]string{"endsmeet"}, args...)); code != 0 {
		t.Fatalf("%q gave %d: %s", args, code, e.stderr)
	}
}

// bytesIn reads every file of a folder.
func bytesIn(t interface {
	Helper()
	Fatal(...any)
}, folder string) map[string]string {
	t.Helper()
	files := map[string]string{}
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) == 0 {
		t.Fatal("nothing in the folder", err)
	}
	for _, f := range entries {
		raw, err := os.ReadFile(filepath.Join(folder, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name()] = string(raw)
	}
	return files
}

func stocked(t *testing.T) (*environment, *bytes.Buffer, string) {
	t.Helper()
	e, out, folder := inside(t)
	do(t, e, "receive", "Ossentarn cotton", "--net", "500g", "--tag", "Y01", "--bin", "A 1",
		"--colour", "oat", "--count", "8/2 Ne")
	do(t, e, "project", "add", "oat towel", "--warp", "Y01", "--width", "50cm", "--length", "70cm",
		"--sett", "8/cm", "--picks", "8/cm")
	do(t, e, "person", "add", "Tamsel O'Row")
	out.Reset()
	return e, out, folder
}

// everyWord draws words of command lines: what the program knows, what it does
// not, and what is no word.
func everyWord(app *cli.App) []string {
	words := []string{"", "-", "--", "--generate-bash-completion", completing, "=", "a b", "'",
		"Y01", "oat towel", "5g", "-5", "--net=5g", "\x00", "*", "endsmeet"}
	var walk func([]*cli.Command)
	walk = func(commands []*cli.Command) {
		for _, c := range commands {
			words = append(words, c.Name)
			for _, f := range c.Flags {
				words = append(words, "--"+f.Names()[0])
			}
			walk(c.Subcommands)
		}
	}
	walk(app.Commands)
	return words
}

// wordsBeforeTab draws command lines up to the Tab: words of the program whole or cut short,
// and whatever else a hand or a paste may leave there.
func wordsBeforeTab(words []string) *rapid.Generator[[]string] {
	word := rapid.Custom(func(t *rapid.T) string {
		known := []rune(rapid.SampledFrom(words).Draw(t, "known"))
		switch rapid.IntRange(0, 3).Draw(t, "how") {
		case 0:
			return string(known[:rapid.IntRange(0, len(known)).Draw(t, "cut")])
		case 1:
			return rapid.String().Draw(t, "anything")
		}
		return string(known)
	})
	return rapid.SliceOfN(word, 0, 7)
}

// TestCompletionNeverWrites draws as many as -rapid.checks says. What is printed is a word,
// a tab and a few words about it on each line, and no control sign.
func TestCompletionNeverWrites(t *testing.T) {
	t.Parallel()
	e, out, folder := stocked(t)
	before := bytesIn(t, folder)
	words := append(everyWord(newApp(e)), "--stash", folder, filepath.Join(folder, "stash.db"))
	rapid.Check(t, func(t *rapid.T) {
		out.Reset()
		shell := rapid.SampledFrom([]string{"bash", "zsh", "fish", "powershell", "tcsh"}).Draw(t, "shell")
		line := wordsBeforeTab(words).Draw(t, "line")
		if shell == "bash" {
			line = []string{"endsmeet " + strings.Join(line, " ")}
		}
		if code := run(t.Context(), e, append([]string{"endsmeet", completing, shell},
			line...)); code != 0 {
			t.Fatal("completion fails")
		}
		for one := range strings.Lines(out.String()) {
			text := strings.TrimSuffix(one, "\n")
			if strings.Count(text, "\t") != 1 || strings.ContainsFunc(
				strings.Replace(text, "\t", "", 1), unicode.IsControl) {
				t.Fatalf("completion says %q", one)
			}
		}
		if after := bytesIn(t, folder); !maps.Equal(before, after) {
			t.Fatal("completion changed the stash or left something next to it")
		}
	})
}

func TestCompletionMakesNoStash(t *testing.T) {
	t.Parallel()
	e, out, folder := inside(t)
	do(t, e, completing, "fish", "weigh", "")
	if entries, _ := os.ReadDir(folder); len(entries) > 0 || out.Len() > 0 {
		t.Errorf("completion on no stash leaves %v, says %q", entries, out)
	}
}

// TestEveryPlaceholderIsKnown: a placeholder of help is one that completion has
// values for, or one of those for which there are none.
func TestEveryPlaceholderIsKnown(t *testing.T) {
	t.Parallel()
	free := map[string]bool{}
	for _, w := range strings.Fields("AMOUNT WEIGHT LENGTH WIDTH PERCENT N NAME YEAR HOURS COUNT TEXT NOTE REASON KEY TAG COLOUR PRICE SIZE SETT PICKS " +
		"STRUCTURE WASHING STRIPES ENCODING RESERVE QUARANTINE SHEDDING ODOUR HAZARDS CONSTRUCTION WASH SOURCE RULE MACHINE WORDS ID SELVEDGES " +
		"FLAG SIGN HEADING=FIELD[:UNIT] N=YARN SHEET COLLECTION KEYS LOT COMMAND SWATCH CODE DATES WEAVE FINISH") {
		free[w] = true
	}
	e, _, _ := inside(t)
	c := &completer{env: e, ctx: t.Context(), app: newApp(e)}
	seen := 0
	check := func(where, word string) {
		seen++
		c.command = &cli.Command{}
		if word == "" || free[word] || valueKinds[word] != nil ||
			strings.HasSuffix(word, "=VALUE") || word == strings.ToLower(word) {
			return
		}
		if name, _, ok := strings.Cut(word, "="); ok && valueKinds[name+"="] != nil {
			return
		}
		t.Errorf("%s: completion does not know what %s is", where, word)
	}
	var walk func(string, []*cli.Command)
	walk = func(path string, commands []*cli.Command) {
		for _, cmd := range commands {
			for _, p := range placeholders(cmd.ArgsUsage) {
				for _, word := range strings.Split(p, "|") {
					check(path+cmd.Name, word)
				}
			}
			for _, f := range cmd.Flags {
				doc, ok := f.(cli.DocGenerationFlag)
				if ok && takesValue(f) && len(listedWords(doc.GetUsage())) == 0 &&
					!fieldHasWords(f) {
					check(path+cmd.Name+" --"+f.Names()[0], placeholderOf(f))
				}
			}
			walk(path+cmd.Name+" ", cmd.Subcommands)
		}
	}
	walk("", c.app.Commands)
	if seen < 100 {
		t.Fatalf("only %d placeholders seen", seen)
	}
}

func fieldHasWords(f cli.Flag) bool {
	name := strings.ReplaceAll(f.Names()[0], "-", "_")
	for _, what := range []stash.What{stash.WhatYarn, stash.WhatPackage, stash.WhatProject} {
		if field, err := stash.FieldOf(what, name); err == nil && len(field.Words) > 0 {
			return true
		}
	}
	return false
}

// TestBashWordIsReadBack: what bash is given to put in, it reads as the value
// again, whatever letters are in it and whatever was typed before.
func TestBashWordIsReadBack(t *testing.T) {
	t.Parallel()
	bash := outside.Program(t, "bash")
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.StringMatching("[a-zA-Z0-9 '\"$`!\\\\éß*?~#&;()<>|-]{1,20}").Draw(t, "value")
		open := rapid.SampledFrom([]string{"", "'", `"`}).Draw(t, "open")
		before := rapid.SampledFrom([]string{"", "--bin=", `A\ `}).Draw(t, "before")
		typed, _, from := shellSplit(before + open)
		value = typed[0] + value
		if open == `"` && strings.ContainsRune(value, '!') {
			return // in double quotes only an interactive shell takes it, and keeps the backslash
		}
		quote := rune(0)
		if open != "" {
			quote = rune(open[0])
		}
		line := before + open + bashWord(value, "", quote, from) + open
		if open == "" {
			line = bashWord(value, "", quote, from)
		}
		out, err := exec.Command(bash, "-c", "printf %s "+line).Output()
		if err != nil || string(out) != value {
			t.Fatalf("%q is typed as %s and read as %q (%v)", value, line, out, err)
		}
		if words, _, _ := shellSplit(line); len(words) != 1 || words[0] != value {
			t.Fatalf("%s is split into %q here", line, words)
		}
	})
}

// TestShellsAreHere: the script on completion runs three real shells, and leaves
// out one that is missing.
func TestShellsAreHere(t *testing.T) {
	t.Parallel()
	for _, shell := range []string{"bash", "zsh", "fish"} {
		outside.Program(t, shell)
	}
}
