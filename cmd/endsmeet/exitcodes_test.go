package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash/sqlite"
)

// endings are runs of the program, as a process, with the code that each ends with.
var endings = []struct {
	code int
	args []string
	set  string // what the environment says besides
}{
	{exitDone, []string{"list"}, ""},
	{exitDone, []string{"plan", "towel", "--exit-code"}, ""},
	{exitDone, []string{"plan", "sail"}, ""}, // not asked
	{exitDone, []string{"fits", "towel", "--exit-code"}, ""},
	{exitRefused, []string{"use", "Y01", "9kg"}, ""},
	{exitRefused, []string{"show", "nothing"}, ""},
	{exitRefused, []string{"weigh", "Y01", "banana"}, ""},
	{exitRefused, []string{"--stash", "not/there.db", "list"}, ""},
	{exitUsage, []string{"weigh"}, ""},
	{exitUsage, []string{"--nosuch", "list"}, ""},
	{exitUsage, []string{"wiegh", "Y01", "9g"}, ""},
	{exitUsage, []string{"plan", "towel", "--width"}, ""},
	{exitShort, []string{"plan", "sail", "--exit-code"}, ""},
	{exitShort, []string{"fits", "towel", "--for", "Tamsel", "--exit-code"}, ""},
	{exitAsk, []string{"suits", "Tamsel", "--exit-code"}, ""},
	{exitAsk, []string{"plan", "towel", "--for", "Tamsel", "--exit-code"}, ""},
	{exitDamaged, []string{"--stash", "torn.db", "check"}, ""},
	{exitInterrupted, []string{"import", "sheet.csv"},
		"ENDSMEET_SCRIPT_INTERRUPT=" + string(sqlite.PointInserted)},
	{exitInterrupted, []string{"use", "Y01", "1g"},
		"ENDSMEET_SCRIPT_INTERRUPT=" + string(sqlite.PointBegun)},
}

// TestEveryExitCodeComesAbout: each code that help tells of is what some run ends with,
// exactly, and with --json and --dry-run too.
func TestEveryExitCodeComesAbout(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "Ossentarn cotton", "--net", "2kg", "--tag", "Y01", "--count", "100 tex",
		"--fibre", "cotton")
	for name, size := range map[string][]string{"towel": {"20cm", "50cm"}, "sail": {"2m", "50m"}} {
		d.run("project", "add", name, "--warp", "Y01", "--weft", "Y01", "--width", size[0],
			"--length", size[1], "--sett", "8/cm", "--picks", "8/cm")
	}
	d.run("person", "add", "Tamsel", "--rule", "against cotton")
	d.file("sheet.csv", "yarn,net (g)\ngood,5\n")
	count := d.file("count", strings.Repeat(".", 50)) // ids that the stash has not given yet
	torn(t, d.path(d.stash), d.path("torn.db"))
	program := filepath.Join(t.TempDir(), "endsmeet")
	if err := os.Symlink(must(os.Executable()), program); err != nil {
		t.Fatal(err)
	}
	left := map[int]bool{}
	for _, meaning := range exitMeanings {
		left[meaning.code] = true
	}
	for _, e := range endings {
		for _, more := range []string{"", "--json", "--dry-run"} {
			args := slices.DeleteFunc(append([]string{more}, e.args...),
				func(word string) bool { return word == "" })
			c := exec.Command(program, args...)
			c.Dir = d.dir
			c.Env = append(os.Environ(), "HOME="+d.dir, "ENDSMEET_STASH="+d.path(d.stash),
				"ENDSMEET_SCRIPT_COUNT="+count, e.set)
			out, err := c.CombinedOutput()
			var exit *exec.ExitError
			if err != nil && !errors.As(err, &exit) || c.ProcessState.ExitCode() != e.code {
				t.Errorf("%q ends with %v, not %d:\n%s", args, err, e.code, out)
			}
			delete(left, e.code)
		}
	}
	if len(left) > 0 {
		t.Errorf("no run ends with %v", left)
	}
}

func must(path string, err error) string {
	if err != nil {
		panic(err)
	}
	return path
}

// torn writes a stash with pages of it overwritten.
func torn(t *testing.T, from, to string) {
	t.Helper()
	raw, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	for i := 2 * 4096; i < len(raw); i++ {
		raw[i] ^= 0x55
	}
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}
