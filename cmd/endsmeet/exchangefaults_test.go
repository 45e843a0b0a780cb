package main

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/sqlite"
)

// Ctrl-C cancels the context: before the commit is asked for, nothing of
// what was begun stays, neither in the stash nor beside it.
func TestAnImportThatIsBrokenOffLeavesNothing(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "First", "--net", "10g")
	sheet := d.file("sheet.csv", "yarn,net (g)\ngood,5\nbad,much\nbetter,6\n")
	tried := 0
	for _, point := range []sqlite.Point{sqlite.PointBegun, sqlite.PointInserted} {
		ctx, stop := context.WithCancel(context.Background())
		reached := false
		d.env.fault = func(p sqlite.Point) {
			if p == point {
				reached = true
				stop()
			}
		}
		code := d.try(ctx, "import", sheet, "--skip-bad", "--bad-rows", d.path("rest.csv"))
		stop()
		d.env.fault = nil
		if code != 130 || !reached || d.out.Len() > 0 ||
			!strings.Contains(d.err.String(), "stopped; nothing was recorded") {
			t.Errorf("%s: exit %d, reached %v, %s%s", point, code, reached, d.out.String(),
				d.err.String())
		}
		if answer := d.run("list"); !strings.Contains(answer, "1 item,") {
			t.Errorf("%s: %s", point, answer)
		}
		d.onlyFiles("sheet.csv")
		d.checked()
		tried++
	}
	if tried != 2 {
		t.Errorf("tried %d points", tried)
	}
	d.run("import", sheet, "--skip-bad", "--bad-rows", d.path("rest.csv"))
	d.onlyFiles("rest.csv", "sheet.csv")
}

// onlyFiles holds the folder to the stash and these files.
func (d *desk) onlyFiles(want ...string) {
	d.t.Helper()
	entries, err := os.ReadDir(d.dir)
	if err != nil {
		d.t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), d.stash) {
			got = append(got, e.Name())
		}
	}
	if !slices.Equal(got, want) {
		d.t.Errorf("the folder has %q, want %q", got, want)
	}
}

// Where the bad rows cannot be kept, the good ones do not come in either.
func TestGoodRowsDoNotComeInWhereTheBadOnesWouldBeLost(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "First", "--net", "10g")
	sheet := d.file("sheet.csv", "yarn,net (g)\ngood,5\nbad,much\n")
	if err := os.Mkdir(d.path("locked"), 0o500); err != nil {
		t.Fatal(err)
	}
	tests := map[string]string{"sheet.csv": "already",
		"nowhere/rest.csv": "it is not there"}
	if os.Getuid() != 0 { // whom nothing is forbidden
		tests["locked/rest.csv"] = "permission denied"
	}
	for rest, why := range tests {
		code := d.try(context.Background(), "import", sheet, "--skip-bad", "--bad-rows",
			d.path(rest))
		if code != 1 || d.out.Len() > 0 || !strings.Contains(d.err.String(), why) ||
			!strings.Contains(d.err.String(), rest) {
			t.Errorf("%s: exit %d, %s%s", rest, code, d.out.String(), d.err.String())
		}
		if answer := d.run("list"); !strings.Contains(answer, "1 item,") {
			t.Errorf("%s: %s", rest, answer)
		}
	}
	if raw, _ := os.ReadFile(sheet); string(raw) != "yarn,net (g)\ngood,5\nbad,much\n" {
		t.Errorf("the sheet is now %q", raw)
	}
}

func TestALabelIsRecordedWhenTheWeaverSaysYes(t *testing.T) {
	t.Parallel()
	for answer, recorded := range map[string]bool{"y\n": true, "Yes\n": true, "n\n": false,
		"\n": false, "": false, "yarn\n": false} {
		d := newDesk(t)
		d.run("receive", "First", "--net", "10g")
		d.env.stdinTTY, d.env.stdin = true, strings.NewReader(answer)
		code := d.try(context.Background(), "receive", "Moss sock", "--label",
			"50 g / 125 m, 75% wool 25% nylon")
		if !strings.Contains(d.err.String(), "record it? [y/N]") || (code == 0) != recorded {
			t.Errorf("to %q: exit %d\n%s", answer, code, d.err.String())
		}
		if list := d.run("list"); strings.Contains(list, "Moss sock") != recorded {
			t.Errorf("to %q: %s", answer, list)
		}
	}
}

func TestABarIsShownOnATerminalAndOnlyAfterAWhile(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		terminal, late, shown bool
		total                 int
	}{{true, true, true, 1000}, {true, true, true, -1}, {true, false, false, 1000},
		{false, true, false, 1000}} {
		var err bytes.Buffer
		k := &call{env: &environment{stderr: &err, stderrTTY: tt.terminal}}
		p := k.counting("import", tt.total)
		if tt.late {
			p.begun = p.begun.Add(-2 * show.Patience)
		} else {
			p.begun = p.begun.Add(time.Hour)
		}
		for range 200 {
			p.Step()
		}
		p.Done()
		if after := err.String(); tt.shown && !strings.HasSuffix(after, "\r\x1b[K") {
			t.Errorf("the line is not left clean: %q", after)
		}
		if shown := strings.Contains(err.String(), "import"); shown != tt.shown {
			t.Errorf("%+v: %q", tt, err.String())
		}
	}
}
