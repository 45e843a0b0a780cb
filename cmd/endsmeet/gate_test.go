package main

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash/stashtest"
)

// What a command does with yarn that is on its way to a cloth or a person.
const (
	asksAndBlocks = "asks the gate, and goes on in spite of it only with --override REASON"
	asksToPromise = "asks the gate what it promises somebody, and keeps that in spite of it only with --override REASON"
	asksAndShows  = "asks the gate and shows the answer"
	neither       = "lets no yarn reach a cloth or a person"
)

// ways says of every command which gate it passes. A new command has no line
// here, and the test fails until somebody decides.
var ways = map[string]string{
	"receive": asksToPromise, "set": asksToPromise, "weigh": neither, "stocktake": neither, "worth": neither, "year": neither,
	"discard": neither, "return": neither, "undo": neither,
	"redate": neither,
	"wind":   neither, // onto a package of the same yarn and lot
	"retire": neither, // what is left of it goes to nobody in particular
	"use":    asksAndBlocks, "give": asksAndBlocks, "lend": asksAndBlocks,
	"list": neither, "book": neither, "stickers": neither, "trend": neither, "photo add": neither,
	"photo save": neither, "photo list": neither, "show": neither, "history": neither,
	"check":       neither,
	"project add": neither, "project list": neither, "project show": neither,
	"project set": neither,
	"plan":        asksAndBlocks, "start": asksAndBlocks, "share": asksAndBlocks,
	"finish":  asksAndShows,                        // the yarn is in the cloth already
	"another": asksAndShows, "loom": asksAndBlocks, // of more pieces
	"fits": asksAndShows, "idle": asksAndShows,
	"person add": neither, "person list": neither, "person show": neither, "person set": neither,
	"person presets": neither, "person tests": neither,
	"suits": asksAndShows, "together": asksAndShows, "card": asksAndShows,
	"next": asksAndShows, "due": neither, "unmarked": neither, "like": neither,
	"import": neither, "export": neither, "backup": neither, "restore": neither,
	"demo": neither, "config": neither, "completion": neither, "help": neither,
}

// leaves visits every command that does something, by its whole name.
func leaves(all []*cli.Command, prefix string, visit func(string, *cli.Command)) {
	for _, c := range all {
		if name := prefix + c.Name; len(c.Subcommands) > 0 {
			leaves(c.Subcommands, name+" ", visit)
		} else {
			visit(name, c)
		}
	}
}

func TestEveryWayToAClothOrAPersonPassesTheGate(t *testing.T) {
	t.Parallel()
	e := newDesk(t).env
	seen := 0
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		if strings.HasPrefix(name, "sync") || c.Hidden {
			return // exchanges what was recorded; pages of help
		}
		seen++
		way, decided := ways[name]
		if !decided {
			t.Errorf("%s: does it let yarn reach a cloth or a person? Decide, and write it into the table of ways", name)
		}
		override := slices.ContainsFunc(c.Flags,
			func(f cli.Flag) bool { return slices.Contains(f.Names(), "override") })
		if override != (way == asksAndBlocks || way == asksToPromise) {
			t.Errorf("%s %s, and --override is there: %v", name, way, override)
		}
	})
	if seen < 40 {
		t.Errorf("only %d commands were looked at", seen)
	}
}

// gated are runs of all commands that ask the gate, in an order in which each
// finds what it needs.
var gated = [][]string{
	{"plan", "scarf"}, {"share", "scarf"}, {"fits", "scarf"}, {"start", "scarf"},
	{"loom", "scarf 1"}, {"use", "M", "1g", "--piece", "scarf 1"},
	{"finish", "scarf 1", "--length", "150cm", "--width", "25cm"}, {"card", "scarf 1"},
	{"another", "scarf 1"}, {"idle"},
	{"next"},
	{"together", "O", "M"}, {"suits", "Mira", "O"}, {"give", "O", "1g", "--to", "Mira"},
	{"lend", "O", "--to", "Mira"},
}

// questionsOf are the questions that each command's answer must hold: all that can be
// asked of what it is about.
var questionsOf = map[string][]verdict.Question{
	"plan":    {verdict.Enough, verdict.Agree, verdict.Lots, verdict.Condition},
	"share":   {verdict.Enough, verdict.Agree, verdict.Lots, verdict.Condition},
	"another": {verdict.Enough, verdict.Agree, verdict.Lots, verdict.Condition},
	"loom":    {verdict.Enough, verdict.Agree}, "start": {verdict.Enough, verdict.Agree,
		verdict.Lots, verdict.Condition},
	"finish": {verdict.Agree}, "card": {verdict.Agree}, "fits": {verdict.Agree, verdict.Condition},
	"idle": {verdict.Agree}, "use": {verdict.Agree, verdict.Condition},
	"together": {verdict.Agree}, "suits": {verdict.Condition, verdict.Recipient},
	"give": {verdict.Condition, verdict.Recipient}, "lend": {verdict.Condition, verdict.Recipient},
}

// gateDesk has three yarns, of which two agree and two do not, a person and two
// projects.
func gateDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
		"--tag", "O", "--colour", "oat", "--lot", "7", "--acquired", "2015")
	d.run("receive", "Marrow wool", "--fibre", "wool", "--count", "8/2 NeW", "--net", "400g",
		"--tag", "M", "--colour", "moss", "--lot", "3")
	d.run("receive", "Skyling", "--fibre", "wool (merino superwash)", "--count", "8/2 NeW", "--net",
		"400g", "--tag", "S", "--colour", "sky", "--lot", "5")
	d.run("receive", "Oldenlea linen", "--fibre", "linen", "--count", "16/1 lea", "--net", "300g",
		"--tag", "L", "--acquired", "2015")
	d.run("person", "add", "Mira", "--rule", "against mohair strict")
	size := []string{"--width", "25cm", "--length", "150cm", "--sett", "6/cm", "--picks", "6/cm",
		"--structure", "plain", "--fringe", "10cm"}
	d.run(append([]string{"project", "add", "scarf", "--kind", "scarf", "--warp", "O", "--weft",
		"M"}, size...)...)
	d.run(append([]string{"project", "add", "felting", "--warp", "M", "--weft", "S"}, size...)...)
	return d
}

func TestEveryCommandThatAsksTheGateShowsWhatItSays(t *testing.T) {
	t.Parallel()
	d := gateDesk(t)
	asked := map[string]bool{}
	for _, args := range gated {
		asked[args[0]] = true
		answer := d.run(append([]string{"--json"}, args...)...)
		if !strings.Contains(answer, `"verdicts"`) {
			t.Errorf("%q shows no verdict: %s", args, answer)
		}
		for _, q := range questionsOf[args[0]] {
			if !strings.Contains(answer, `"question": "`+string(q)+`"`) {
				t.Errorf("%q does not answer %s: %s", args, q, answer)
			}
		}
	}
	if answer := d.run("--json", "give", "scarf 1", "--to", "Mira", "--override",
		"she knows"); !strings.Contains(answer, `"question": "`+string(verdict.Recipient)+`"`) {
		t.Errorf("a piece is given without asking for whom: %s", answer)
	}
	for name, way := range ways {
		if way != neither && way != asksToPromise && !asked[name] {
			t.Errorf("%s %s, and no run here shows it", name, way)
		}
	}
}

func TestOneCaseIsSaidInTheSameWordsEverywhere(t *testing.T) {
	t.Parallel()
	d := gateDesk(t)
	const want = "no: Marrow wool may felt, and Skyling is superwash: they part company in the first wash"
	for _, args := range [][]string{{"plan", "felting"}, {"share", "felting"},
		{"together", "M", "S"}, {"--json", "plan", "felting"}, {"--json", "together", "M", "S"}} {
		if answer := strings.Join(strings.Fields(d.run(args...)), " "); !strings.Contains(answer,
			want) {
			t.Errorf("%q: %s", args, answer)
		}
	}
	for _, args := range [][]string{{"start", "felting"}, {"plan", "felting", "--reserve"}} {
		if code := d.try(context.Background(), args...); code != 1 ||
			!strings.Contains(d.err.String(), strings.TrimPrefix(want, "no: ")) || d.out.Len() > 0 {
			t.Errorf("%q: exit %d, %s%s", args, code, d.out.String(), d.err.String())
		}
	}
	if answer := d.run("fits", "--from", "M", "--from", "S", "scarf", "--top",
		"50"); regexp.MustCompile(`warp Marrow[^\n]*\n +weft Skyling|warp Skyling[^\n]*\n +weft Marrow`).MatchString(answer) {
		t.Errorf("fits proposes them: %s", answer)
	}
	d.run("start", "felting", "--override", "a felted stripe is wanted")
	for _, args := range [][]string{{"loom", "felting 1"}, {"finish", "felting 1"},
		{"another", "felting 1"}, {"card", "felting 1"}} {
		if answer := strings.Join(strings.Fields(d.run(args...)), " "); !strings.Contains(answer,
			want) {
			t.Errorf("%q: %s", args, answer)
		}
	}
	if shown := d.run("show", "felting 1"); !strings.Contains(shown,
		"set aside: a felted stripe is wanted") {
		t.Errorf("the reason is not kept: %s", shown)
	}
}

// screens are all that shows something, on a stash with disputes in it.
var screens = [][]string{
	{"list"}, {"list", "--retired", "--sort", "yarn"}, {"show", "O"}, {"show", "Skyling"},
	{"show", "scarf 1"}, {"history", "--last", "100"}, {"history", "O"}, {"check"},
	{"project", "list"}, {"project", "show", "felting"}, {"plan", "felting"},
	{"plan", "scarf", "--another"}, {"another", "scarf 1"}, {"fits", "scarf"},
	{"fits", "scarf", "--why", "S"},
	{"share", "scarf", "felting"}, {"share", "--open"}, {"idle"}, {"person", "list"},
	{"person", "show", "Mira"}, {"suits", "Mira"}, {"together", "M", "S"},
	{"card", "scarf 1"}, {"config"}, {"help", "fibres"}, {"help", "plan"},
}

func TestEveryScreenIsTheSameTwentyTimes(t *testing.T) {
	t.Parallel()
	d := disputedDesk(t)
	for _, args := range screens {
		for times, prefix := range map[int][]string{20: nil, 4: {"--json"}} {
			all := append(slices.Clone(prefix), args...)
			first, told := d.run(all...), d.err.String()
			for range times - 1 {
				if again := d.run(all...); again != first || d.err.String() != told {
					t.Errorf("%q: once\n%s%s\nand once\n%s%s", all, first, told, again,
						d.err.String())
					break
				}
			}
		}
	}
	if shown := d.run("show", "O"); strings.Count(shown, "(disputed)") < 3 {
		t.Errorf("nothing is in dispute: %s", shown)
	}
}

// disputedDesk is a stash of which another machine says different things.
func disputedDesk(t *testing.T) *desk {
	d := gateDesk(t)
	d.run("start", "scarf")
	d.run("finish", "scarf 1", "--length", "150cm", "--width", "25cm", "--tape", "165cm")
	other := newDesk(t)
	other.env.ids, other.env.machine = stashtest.CountingIDs(1_000_000), "other"
	d.run("export", "--events", d.path("here.jsonl"), "--with-private")
	other.run("import", d.path("here.jsonl"))
	for _, one := range []struct {
		d    *desk
		word string
	}{{d, "first"}, {other, "second"}} {
		one.d.run("set", "O", "bin="+one.word, "colour="+one.word, "source="+one.word,
			"note="+one.word)
		one.d.run("set", "Skyling", "source="+one.word, "odour="+one.word, "note="+one.word)
		one.d.run("person", "set", "Mira", "note="+one.word)
	}
	other.run("export", "--events", d.path("there.jsonl"), "--with-private")
	d.run("import", d.path("there.jsonl"))
	return d
}
