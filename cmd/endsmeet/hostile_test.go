package main

import (
	"context"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/outside"
	"endsmeet/stash/stashtest"
)

// hostile is a name that a shell would take for something else; the word in it tells
// things apart.
const hostile = "-$(touch made)`touch made` \"it's\" !! ~ *.go #1;c|d&e <f> (: WORD \\'\\"

func named(word string) string { return strings.Replace(hostile, "WORD", word, 1) }

// hostileDesk is a stash in which everything that may have a name has a hostile one, and of
// which two machines say different things.
func hostileDesk(t *testing.T) *desk {
	d, other := newDesk(t), newDesk(t)
	other.env.ids, other.env.machine = stashtest.CountingIDs(1_000_000), named("machine")
	for tag, yarn := range map[string]string{"HY": "warp", "HZ": "second", "HQ": "moths"} {
		d.run("receive", "--new", "--fibre", "wool", "--count", "8/2 NeW", "--net", "400g",
			"--tag", tag, "--colour", named(yarn+" colour"), "--bin", named("bin"),
			"--lot", named(yarn+" lot"), "--", named(yarn))
	}
	d.run("receive", "--new", "--net", "90g", "--tag", "HU", "--note", "mohair", "--", named("unknown"))
	d.run("set", "HQ", "quarantine=2026-02-01 "+named("moths"))
	d.run("person", "add", "--rule", "against mohair", "--", named("person"))
	size := []string{"--width", "25cm", "--length", "150cm", "--sett", "6/cm", "--picks",
		"6/cm", "--structure", "plain", "--warp", "HY", "--weft", "HZ", "--for", named("person"), "--"}
	for _, project := range []string{"done", "loom", "planned"} {
		d.run(append(slices.Concat([]string{"project", "add"}, size), named(project))...)
	}
	d.run("start", "--override", "asked", "--", named("done"))
	d.run("finish", "--length", "150cm", "--width", "25cm", "--tape", "165cm", "--", named("done")+" 1")
	d.run("start", "--override", "asked", "--", named("loom"))
	d.run("plan", "--reserve", "--override", "asked", "--", named("planned"))
	d.run("export", "--events", d.path("here.jsonl"), "--with-private")
	other.run("import", d.path("here.jsonl"))
	for word, d := range map[string]*desk{"one": d, "two": other} {
		d.run("set", "HY", "colour="+named(word), "bin="+named(word))
		d.run("set", "--", named("warp"), "source="+named(word))
	}
	other.run("export", "--events", d.path("there.jsonl"), "--with-private")
	d.run("import", d.path("there.jsonl"))
	return d
}

// typedCommand is where a command of the program begins that may be typed.
var typedCommand = regexp.MustCompile("(^|[ `(])endsmeet [a-z]")

// stands gives a replacer for every name, alone and as the value of a field: to the word
// that stands for it from what shown makes of it, or back.
func stands(shown func(string) string, back bool) *strings.Replacer {
	var pairs []string
	for _, word := range things {
		for _, end := range []string{" 1", " colour", " lot", ""} {
			for _, field := range []string{"", "yarn=", "bin=", "source=", "colour="} {
				pair := []string{shown(field + named(word) + end),
					field + "NAME-" + word + strings.ReplaceAll(end, " ", "_")}
				if back {
					slices.Reverse(pair)
				}
				pairs = append(pairs, pair...)
			}
		}
	}
	return strings.NewReplacer(pairs...)
}

// hintsOf are the commands in a text that have a name in them, up to the last one, with
// words for the names. A name that is not quoted is still in them.
func hintsOf(text string) []string {
	hints := map[string]bool{}
	for line := range strings.SplitSeq(stands(stash.Quote, false).Replace(text), "\n") {
		at := typedCommand.FindAllStringIndex(line, -1)
		for i, place := range at {
			end := len(line)
			if i+1 < len(at) {
				end = at[i+1][0]
			}
			command := line[place[1]-len("endsmeet x") : end]
			if line[place[0]] == '`' {
				command, _, _ = strings.Cut(command, "`")
			}
			if optionAfter.MatchString(command) {
				hints[command] = true
			}
			if upTo := nameInIt.FindString(command); upTo != "" {
				hints[upTo] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(hints))
}

// nameInIt is a command up to its last name, quoted or not.
var nameInIt = regexp.MustCompile(`.*(touch made|NAME-[a-z]+(_[a-z0-9]+)?)`)

// provoked is what the program says to all that it is asked about the stash, and to all
// that it does not understand.
func (d *desk) provoked() string {
	var said strings.Builder
	try := func(args ...string) {
		d.try(context.Background(), append([]string{"--no-input"}, args...)...)
		said.WriteString(d.out.String() + "\n" + d.err.String() + "\n")
	}
	words := []string{"HY", "HU"}
	for _, word := range things {
		words = append(words, named(word))
	}
	words = append(words, named("done")+" 1", named("loom")+" 1", named("planned")+" 1")
	name := named("elsewhere")
	leaves(commands(&d.env), "", func(command string, c *cli.Command) {
		first, _, _ := strings.Cut(command, " ")
		if c.Hidden || slices.Contains([]string{"demo", "stocktake", "sync", "help"}, first) {
			return
		}
		of := strings.Fields(command)
		if !slices.Contains(onlyReads, command) {
			of = append([]string{"--dry-run"}, of...)
		}
		slow := slices.Contains([]string{"fits", "idle", "share"}, command)
		with := func(more ...string) { try(append(slices.Clone(of), more...)...) }
		with()
		with("--sums")
		for _, word := range words {
			if c.ArgsUsage == "" || slow && word != named("planned") {
				continue
			}
			with("--", word)
			for _, second := range []string{"20g", "HZ", "bin=" + name, named("second")} {
				with("--", word, second)
			}
			for _, flag := range c.Flags {
				if os.Getenv("ENDSMEET_LONG") == "" {
					break
				}
				if _, isBool := flag.(*cli.BoolFlag); !isBool && !slow {
					with("--"+flag.Names()[0]+"="+word, "--", "HY")
				}
			}
		}
	})
	return said.String()
}

// things are what has a name in the stash, and one that nothing has.
var things = []string{"warp", "second", "moths", "unknown", "person", "done", "loom", "planned", "one",
	"two", "bin", "machine", "nothing"}

// TestEveryHintHoldsWhateverTheNames: what the program says to type is read by every
// shell as it was meant, and the program knows what to do with it.
func TestEveryHintHoldsWhateverTheNames(t *testing.T) {
	t.Chdir(t.TempDir()) // where what names a file writes it
	d := hostileDesk(t)
	hints := hintsOf(d.provoked())
	if len(hints) < 20 {
		t.Fatalf("only %d hints were seen: %q", len(hints), hints)
	}
	var meant [][]string
	for i, hint := range hints {
		if unquoted := strings.Contains(hint, "touch made"); unquoted || optionAfter.MatchString(hint) {
			t.Errorf("a name stands unquoted, or an option after --: %s", hint)
		}
		words, _, _ := shellSplit(hint)
		for i, word := range words {
			words[i] = stands(strings.Clone, true).Replace(word)
		}
		meant = append(meant, words[1:])
		hints[i] = stands(stash.Quote, true).Replace(hint)
		d.understands(words[1:])
	}
	for _, shell := range []string{"dash", "bash", "zsh", "fish"} {
		t.Run(shell, func(t *testing.T) { readAs(t, outside.Program(t, shell), hints, meant) })
	}
}

var optionAfter = regexp.MustCompile(` -- [^ ,]+( [A-Za-z0-9=]+)* --[a-z]`)

// filledIn are the words that a reader puts something else for.
var filledIn = strings.NewReplacer("ITEM=WEIGHT", "HY=20g", "WEIGHT", "20g", "LENGTH", "150cm",
	"REASON", "torn", "DATE", "2026-02-01", "COUNT", "8/2 NeW", "N wpi", "12 wpi", "ITEM", "HY",
	"NAME", "somebody", "FILE", "nowhere.jpg", "OTHER", "H9", "TAG", "H9")

// misunderstood is what the program says of words that are wrong, not of some that lack.
var misunderstood = regexp.MustCompile("there is no (option|command)|is one word too many")

// understands tries what a hint says; it may be refused, but not as a mistake of typing.
func (d *desk) understands(words []string) {
	typed := []string{"--no-input", "--dry-run"}
	for _, word := range words {
		if !strings.Contains(word, "touch made") {
			word = filledIn.Replace(word)
		}
		typed = append(typed, word)
	}
	if d.try(d.t.Context(), typed...) == exitUsage &&
		misunderstood.MatchString(d.err.String()) {
		d.t.Errorf("%q is not understood: %s", typed, d.err.String())
	}
}

// readAs has a shell read commands, with all that it does for somebody who types, and
// compares the words that the program would be given with those that were meant.
func readAs(t *testing.T, shell string, commands []string, meant [][]string) {
	script := "endsmeet() { printf '%s\\0' \"$@\"; printf '\\n\\0'; }\n"
	switch filepath.Base(shell) {
	case "fish":
		script = "function endsmeet; printf '%s\\0' $argv; printf '\\n\\0'; end\n"
	case "bash":
		script += "set -o history -o histexpand\n"
	case "zsh":
		script += "setopt banghist extendedglob\n"
	}
	c := exec.Command(shell)
	c.Stdin, c.Dir = strings.NewReader(script+strings.Join(commands, "\n")+"\n"), t.TempDir()
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	read := strings.Split(strings.TrimSuffix(string(out), "\n\x00"), "\n\x00")
	if len(read) != len(meant) {
		t.Fatalf("%d commands were read, not %d: %q", len(read), len(meant), read)
	}
	for i, words := range meant {
		if got := strings.TrimSuffix(read[i], "\x00"); got != strings.Join(words, "\x00") {
			t.Errorf("%s\nis read as %q", commands[i], got)
		}
	}
	if made, err := os.ReadDir(c.Dir); err != nil || len(made) > 0 {
		t.Errorf("a name was run: %v %v", made, err)
	}
}
