package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// everyRecording are runs of every command that records something, in an order in
// which each finds what it needs.
var everyRecording = [][]string{
	{"receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--form", "cone",
		"--net", "400g", "--net", "300g", "--tag", "O"},
	{"weigh", "O-1", "390g"}, {"stocktake", "--from", "../../testdata/sheets/readings.txt"},
	{"use", "O-1", "5g"}, {"discard", "O-1", "1g"}, {"give", "O-1", "1g", "--to", "a guild"},
	{"lend", "O-2", "--to", "a guild"}, {"return", "O-2"},
	{"wind", "O-2", "20g", "--tag", "B", "--form", "bobbin"}, {"set", "O-1", "bin=A1"},
	{"retire", "B", "--leftover", "lost"}, {"undo"},
	{"person", "add", "Mira", "--rule", "against mohair strict"},
	{"person", "set", "Mira", "--rule", "against angora strict"},
	{"project", "add", "band", "--warp", "O", "--weft", "O", "--width", "10cm", "--length", "60cm",
		"--sett", "6/cm", "--picks", "6/cm"},
	{"project", "set", "band", "length=70cm"}, {"plan", "band", "--reserve"},
	{"share", "band", "--reserve"}, {"start", "band"},
	{"loom", "band 1", "--woven", "20cm"}, {"finish", "band 1", "--length", "70cm"},
	{"give", "band 1", "--to", "a guild"}, {"config", "maker=somebody"},
	{"photo", "add", "O-1", conePicture}, {"import", fortyYarns},
	{"redate", "today", "yesterday", "--machine", "this"},
}

// conePicture is a JPEG with notes of a camera in it.
const conePicture = "../../testdata/pictures/cone.jpg"

// onlyReads are the commands that record nothing in the ledger.
var onlyReads = []string{
	"list", "book", "stickers", "trend", "photo save", "photo list", "show", "history", "worth",
	"year", "check", "project list", "project show", "another", "fits", "idle",
	"person list", "person show", "person presets", "person tests", "suits", "together", "card",
	"export", "backup", "restore",
	"due", "next", "unmarked", "like",
	"demo", "completion", "help", "sync",
}

// wholeName is the name of the command that a run is of.
func wholeName(args []string) string {
	if len(args) > 1 && slices.Contains([]string{"person", "project", "photo", "sync"}, args[0]) {
		return args[0] + " " + args[1]
	}
	return args[0]
}

func TestEveryCommandThatRecordsTakesADateAndAKey(t *testing.T) {
	t.Parallel()
	ran := map[string]bool{"sync settle": true} // needs two machines that disagree
	for _, args := range everyRecording {
		ran[wholeName(args)] = true
	}
	e := newDesk(t).env
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		first, _, _ := strings.Cut(name, " ")
		reads := c.Hidden || slices.Contains(onlyReads, name) || slices.Contains(onlyReads, first)
		if reads == ran[name] && name != "sync settle" {
			t.Errorf("%s: does it record anything? Put it among the runs or among those that only read", name)
		}
		for _, option := range []string{"on", "once"} {
			has := slices.ContainsFunc(c.Flags,
				func(f cli.Flag) bool { return slices.Contains(f.Names(), option) })
			if has != ran[name] {
				t.Errorf("%s records: %v; takes --%s: %v", name, ran[name], option, has)
			}
		}
	})
}

func TestAKeyIsBoundToWhatItRecorded(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for i, args := range everyRecording {
		key := []string{"--once", "key " + strings.Join(args, " "), "--on", "2026-03-01"}
		d.run(slices.Concat(args, key)...)
		after, views := d.run("--json", "check"), d.run("history", "--last", "999")
		d.run(slices.Concat(args, key)...)
		if again := d.run("--json", "check"); again != after ||
			d.run("history", "--last", "999") != views {
			t.Errorf("%q: once more under its key changed the ledger\n%s\n%s", args, after, again)
		}
		other := slices.Concat(everyRecording[(i+1)%len(everyRecording)], key)
		if code := d.try(context.Background(), other...); code != 1 ||
			!strings.Contains(d.err.String(), "was used for another command: "+wholeName(args)) {
			t.Errorf("%q under the key of %q: exit %d, %s", other, args, code, d.err.String())
		}
		if d.run("history", "--last", "999") != views {
			t.Errorf("%q: something was recorded under the key of another", other)
		}
	}
}
