package main

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// A weight is of what was left on the day it was read. Whatever command records that yarn
// was taken or weighed before the item was first weighed, it asks before it writes
// anything, or it changes neither what came in nor what is unexplained.
func TestNothingDatedBeforeTheFirstWeighingChangesWhatCameInUnasked(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, false)
	for _, tag := range []string{"Y1", "Y2", "Y3", "Y4", "P1"} {
		d.run("set", tag, "acquired=2020")
	}
	d.run("start", "c", "--on", "2026-01-15", "--"+insistOption)
	asked, all := map[string]bool{}, map[string]*cli.Command{}
	leaves(commands(&d.env), "", func(name string, c *cli.Command) { all[name] = c })
	early := [][]string{{"finish", "c 1"}, {"finish", "c 1", "--weighed", "Y1=200g"},
		{"finish", "c 1", "--thrums", "5g"}, {"lend", "Y1", "--to", "guild", "--gross", "290g"},
		{"use", "Y1", "5g", "--piece", "c 1"}}
	before, whole := d.checked(), d.stash
	for i, form := range slices.Concat(formsOf, early) {
		name := form[0]
		if all[name] == nil {
			name += " " + form[1]
		}
		if !slices.ContainsFunc(all[name].Flags,
			func(f cli.Flag) bool { return f.Names()[0] == "on" }) {
			continue
		}
		d.stash = "early.db"
		copyStash(t, d.path(whole), d.path(d.stash))
		args := append(withFiles(d, form), "--on", "2026-02-01")
		code := d.try(context.Background(), args...)
		said := d.err.String()
		brings := name == "receive" || name == "import" || name == "undo"
		after := d.checked()
		if same := after.ReceivedMg == before.ReceivedMg &&
			after.UnexplainedMg == before.UnexplainedMg; !same && !brings {
			t.Errorf("%q, exit %d: %+v became %+v", args, code, before, after)
		}
		if code == 0 || !strings.Contains(said, "was first weighed on 2026-03-01") {
			continue
		}
		asked[name] = true
		if code := d.try(context.Background(), append(args, "--"+insistOption)...); code != 0 {
			t.Errorf("%d %q insists: %s", i, args, d.err.String())
		}
		d.checked()
	}
	for _, name := range []string{"use", "discard", "give", "wind", "weigh", "stocktake", "finish",
		"start", "lend"} {
		if !asked[name] {
			t.Errorf("%s does not ask", name)
		}
	}
}

// copyStash copies the file of a stash that nobody has open.
func copyStash(t *testing.T, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err == nil {
		err = os.WriteFile(to, data, 0o600)
	}
	for _, end := range []string{"-wal", "-shm"} {
		if data, read := os.ReadFile(from + end); read == nil && err == nil {
			err = os.WriteFile(to+end, data, 0o600)
		} else {
			_ = os.Remove(to + end)
		}
	}
	if key, read := os.ReadFile(from + ".key"); read == nil && err == nil {
		err = os.WriteFile(to+".key", key, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}
