package main

import (
	"context"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// formsOf are runs of commands in each of their forms, on the stash of formsDesk. OUT is
// a file to write, FILE:TEXT a sheet to read, LIST:TEXT a list.
var formsOf = [][]string{
	{"receive", "New yarn", "--net", "50g"}, {"receive", "New yarn"}, {"weigh", "Y1", "290g"},
	{"weigh", "--from", "LIST:Y1 290g"}, {"stocktake", "A1", "--from", "LIST:Y1 290g"},
	{"stocktake", "--from", "FILE:tag,net g\nY1,290\n"}, {"use", "Y1", "5g"},
	{"use", "--from", "LIST:Y1 5g"}, {"use", "Y1", "5g", "--piece", "b 1"}, {"discard", "Y1", "5g"},
	{"give", "Y1", "5g", "--to", "guild"}, {"give", "--from", "LIST:Y1 5g", "--to", "guild"},
	{"give", "a 1", "--to", "guild"}, {"lend", "Y1", "--to", "guild"},
	{"lend", "--from", "LIST:Y1", "--to", "guild"}, {"return", "Y4"},
	{"return", "--from", "LIST:Y4"}, {"wind", "Y1", "50g"}, {"wind", "Y1", "50g", "--into", "P1"},
	{"set", "Y1", "bin=Q"}, {"set", "--from", "LIST:Y1", "bin=Q"},
	{"set", "Ossentarn cotton", "note=q"}, {"retire", "Y3", "--leftover", "lost"}, {"undo"},
	{"undo", "--last", "1"}, {"list"}, {"list", "Y1"}, {"list", "--lots"}, {"list", "--ids"},
	{"show", "Y1"}, {"show", "Ossentarn cotton"}, {"show", "a"}, {"show", "a 1"}, {"show", "b 1"},
	{"history"}, {"history", "Y1"}, {"worth"}, {"worth", "a 1"}, {"worth", "Y1"}, {"year"},
	{"year", "2026"}, {"year", "2026", "--csv", "OUT"}, {"year", "2026", "--journal", "OUT"},
	{"book", "OUT"}, {"stickers", "OUT"}, {"stickers", "--sheets"},
	{"stickers", "--test-page", "OUT"}, {"stickers", "--bins", "OUT"},
	{"stickers", "--pieces", "OUT"}, {"trend"}, {"photo", "list"}, {"check"},
	{"project", "add", "new", "--width", "20cm", "--length", "20cm"}, {"project", "list"},
	{"project", "show", "a"}, {"project", "set", "a", "width=30cm"}, {"plan", "a"},
	{"plan", "a", "--reserve"}, {"plan", "a", "--largest"}, {"plan", "a", "--another"},
	{"plan", "a", "--ends", "100"}, {"plan", "a", "--with", "b"}, {"start", "a"},
	{"start", "c 1"}, {"start", "a", "--with", "b"}, {"finish", "b 1"},
	{"finish", "b 1", "--abandon", "torn"}, {"finish", "a 1", "--learn", "no"}, {"another", "a 1"},
	{"loom", "b 1"}, {"loom", "b 1", "--woven", "20cm"},
	{"loom", "b 1", "--woven", "22cm", "--relaxed", "20cm"}, {"fits"}, {"fits", "scarf"},
	{"fits", "a"}, {"fits", "scarf", "--why", "Y1"}, {"share", "a", "b"}, {"share", "--open"},
	{"share", "a", "--reserve"}, {"idle"}, {"due"}, {"due", "--ics", "OUT"}, {"next"},
	{"unmarked"}, {"unmarked", "Y3"}, {"like", "Y1"},
	{"person", "add", "Ono", "--rule", "no wool"}, {"person", "list"}, {"person", "show", "Mira"},
	{"person", "set", "Mira", "note=x"}, {"person", "presets"}, {"person", "tests"},
	{"suits", "Mira"}, {"suits", "Mira", "Y1"}, {"together", "Y1", "Y3"}, {"card", "a 1"},
	{"card", "a 1", "--html", "OUT"}, {"card", "a 1", "--svg", "OUT"},
	{"card", "a 1", "--washing-only"}, {"card", "a 1", "--small"},
	{"import", "FILE:tag,yarn,net\nZ1,Zed,50g\n"},
	{"import", "FILE:tag,yarn,net\nZ1,Zed,50g\n", "--correct"}, {"export", "--csv", "OUT"},
	{"export", "--events", "OUT"}, {"export", "--journal", "OUT"}, {"export", "--xlsx", "OUT"},
	{"backup", "OUT"}, {"config"}, {"config", "units=imperial"}, {"completion", "bash"},
}

// formless are commands of which no form is run here: why.
var formless = map[string]string{
	"redate": "one form", "photo add": "one form", "photo save": "one form", "demo": "one form",
	"restore": "one form", "help": "no options",
}

// sampleOf is what could stand for the placeholder of an option.
var sampleOf = map[string]string{"WEIGHT": "1g", "LENGTH": "30cm", "PERCENT": "7%", "N": "2",
	"DATE": "2026-02-28", "YES/NO": "yes", "BIN": "A1", "FIBRE": "cotton", "COUNT": "8/2 Ne",
	"YARN": "Y1", "ITEM": "Y3", "PERSON": "Mira", "SIZE": "10cmx20cm", "FILE": "OUT2",
	"FOLDER": "OUT2", "PRICE": "3 EUR", "SETT": "6/cm", "PICKS": "6/cm", "KIND": "scarf",
	"PIECE": "b 1", "PROJECT": "a", "FORM": "cone", "FLAG": "lent", "UNIT": "g",
	"STRUCTURE": "plain", "WIDTH": "20cm", "ANSWER": "ask", "ROLES": "warp,weft",
	"ITEM=WEIGHT": "Y1=300g", "HOURS": "2", "KEY": "bin"}

// formsDesk is a stash on which every form runs; with more there is more of everything
// than the forms name, without it nothing but that.
func formsDesk(t *testing.T, more bool) *desk {
	d := newDesk(t)
	d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
		"--tag", "Y1", "--colour", "oat", "--bin", "A1")
	d.run("receive", "Marrow linen", "--fibre", "linen", "--count", "16/2 lea", "--net", "400g",
		"--tag", "Y2")
	d.run("receive", "Skyling", "--net", "80g", "--tag", "Y3")
	d.run("receive", "Oldenlea hemp", "--fibre", "hemp", "--net", "300g", "--tag", "Y4")
	d.run("wind", "Y1", "5g", "--tag", "P1")
	size := []string{"--width", "25cm", "--length", "60cm", "--sett", "6/cm", "--picks", "6/cm",
		"--structure", "plain", "--kind", "scarf", "--warp", "Y1", "--weft", "Y2"}
	for _, name := range []string{"a", "b", "c"} {
		d.run(append([]string{"project", "add", name}, size...)...)
	}
	d.run("start", "a")
	d.run("finish", "a 1", "--length", "60cm", "--width", "25cm", "--tape", "65cm")
	d.run("start", "b")
	d.run("plan", "c", "--reserve")
	d.run("lend", "Y4", "--to", "guild")
	d.run("person", "add", "Mira", "--rule", "against mohair")
	if more {
		d.run("receive", "Marrow wool", "--fibre", "wool", "--count", "8/2 NeW", "--net", "200g",
			"--tag", "Y5", "--bin", "A1", "--acquired", "2015", "--price", "9 EUR")
		d.run("retire", "Y5", "--leftover", "lost")
		d.run("person", "add", "Ana", "--rule", "against wool")
		d.run("person", "set", "Ana", "gone=yes")
		d.run("project", "set", "a", "for=Mira")
	}
	d.run("weigh", "Y1", "300g", "--as-read")
	return d
}

// placeholder finds the word for an option's value in its usage.
var placeholderIn = regexp.MustCompile("`([^`]+)`")

// withOption is a form with one option more.
func withOption(form []string, f cli.Flag) []string {
	out := append(slices.Clone(form), "--"+f.Names()[0])
	if _, is := f.(*cli.BoolFlag); is {
		return out
	}
	sample := "word"
	if m := placeholderIn.FindStringSubmatch(f.(cli.DocGenerationFlag).GetUsage()); m != nil &&
		sampleOf[m[1]] != "" {
		sample = sampleOf[m[1]]
	}
	return append(out, sample)
}

// withFiles is a form whose files and lists are there.
func withFiles(d *desk, form []string) []string {
	args := slices.Clone(form)
	for i, a := range args {
		if text, is := strings.CutPrefix(a, "FILE:"); is {
			args[i] = d.file("in.csv", text)
		} else if text, is := strings.CutPrefix(a, "LIST:"); is {
			args[i] = d.file("in.txt", text)
		} else if strings.HasPrefix(a, "OUT") {
			args[i] = d.path(a)
		}
	}
	return args
}

// tryForm runs a form without recording anything, and gives how it ended and whether an
// option was refused for want of a use; then nothing may be written or shown.
func tryForm(t *testing.T, d *desk, form []string) (code int, refused bool) {
	t.Helper()
	args := withFiles(d, form)
	if !slices.Contains([]string{"export", "backup"}, args[0]) {
		args = append(args, "--dry-run")
	}
	code = d.try(context.Background(), args...)
	refused = strings.Contains(d.err.String(), "does not use --")
	for _, name := range []string{"OUT", "OUT2"} {
		_, err := os.Stat(d.path(name))
		if refused && (d.out.Len() > 0 || err == nil || code != exitUsage) {
			t.Errorf("%q is refused, and yet: exit %d, %s: %v, %s", form, code, name, err,
				d.out.String())
		}
		if err := os.RemoveAll(d.path(name)); err != nil {
			t.Fatal(err)
		}
	}
	return code, refused
}

// TestAnOptionHasItsUseOrIsRefused: every option of every command in every form is looked
// at or refused, before anything is shown, written or recorded; and which it is depends
// on the form alone, not on what the stash holds.
func TestAnOptionHasItsUseOrIsRefused(t *testing.T) {
	t.Parallel()
	more, less := formsDesk(t, true), formsDesk(t, false)
	all, had, refusals := map[string]*cli.Command{}, map[string]bool{}, 0
	leaves(commands(&more.env), "", func(name string, c *cli.Command) { all[name] = c })
	// what every project has is read in one place, and so are --on, --once and --as-read
	left := append(optionsOf(all["project add"])[3:], "on", "once", insistOption)
	for _, form := range formsOf {
		name := form[0]
		if all[name] == nil {
			name += " " + form[1]
		}
		had[name] = true
		if code, _ := tryForm(t, more, form); code != 0 {
			t.Errorf("%q: exit %d, %s", form, code, more.err.String())
		}
		for _, f := range all[name].Flags {
			option := f.Names()[0]
			if slices.Contains(form, "--"+option) || slices.Contains(left, option) {
				continue
			}
			args := withOption(form, f)
			codeMore, one := tryForm(t, more, args)
			said := more.err.String()
			codeLess, other := tryForm(t, less, args)
			if one != other && (one || codeMore == 0) && (other || codeLess == 0) {
				t.Errorf("%q: by what the stash holds it has a use or none: %s%s", args, said,
					less.err.String())
			}
			if one {
				refusals++
			}
		}
	}
	for name, c := range all {
		if !had[name] && formless[name] == "" && !strings.HasPrefix(name, "sync") && !c.Hidden {
			t.Errorf("no form of %s is run", name)
		}
	}
	if refusals < 50 {
		t.Errorf("only %d were refused", refusals)
	}
}

// TestOptionsOfAnotherFormAreRefused are some of which it is known.
func TestOptionsOfAnotherFormAreRefused(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, true)
	for _, args := range [][]string{{"show", "Y1", "--sums"}, {"return", "Y4", "--scale", "1g"},
		{"worth", "a 1", "--by", "bin"}, {"wind", "Y1", "5g", "--into", "P1", "--bin", "A1"},
		{"finish", "b 1", "--abandon", "torn", "--length", "20cm"},
		{"finish", "a 1", "--learn", "no", "--width", "30cm"},
		{"stocktake", "A1", "--from", "LIST:Y1 290g", "--line", "word"},
		{"stickers", "--pieces", "--fibre", "wool", "OUT"}, {"list", "--lots", "--ids"},
		{"give", "a 1", "--to", "guild", "--for", "Mira"}} {
		if _, refused := tryForm(t, d, args); !refused {
			t.Errorf("%q: %s%s", args, d.out.String(), d.err.String())
		}
	}
}
