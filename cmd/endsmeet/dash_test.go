package main

import (
	"os"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// TestEveryFileMayBeStandardInputOrOutput: help says of every option and argument that
// names a file that it may be -, or why it may not.
func TestEveryFileMayBeStandardInputOrOutput(t *testing.T) {
	t.Parallel()
	e, _, _ := inside(t)
	seen := 0
	leaves(commands(e), "", func(name string, c *cli.Command) {
		for _, word := range placeholders(c.ArgsUsage) {
			if word == "FILE" || word == "BACKUP" {
				seen++
				if !strings.Contains(c.Description, " or - ") &&
					!strings.Contains(c.Description, "may be -") {
					t.Errorf("%s %s does not say whether it may be -", name, word)
				}
			}
		}
		for _, f := range c.Flags {
			written, usage, _ := optionWords(f)
			if !strings.HasSuffix(written, " FILE") {
				continue
			}
			seen++
			if !strings.Contains(usage+" ", "- is ") && !strings.Contains(usage+" ", " or - ") &&
				!strings.Contains(usage, ", not -,") {
				t.Errorf("%s %s does not say whether it may be -", name, written)
			}
		}
	})
	if seen < 15 {
		t.Errorf("only %d files are named", seen)
	}
}

// TestNoFileIsCalledDash: what is written to - goes to standard output, what is read from
// - comes from standard input, and nothing is made that is called so.
func TestNoFileIsCalledDash(t *testing.T) {
	d := formsDesk(t, true)
	t.Chdir(t.TempDir())
	out := func(code int, begins string, args ...string) {
		t.Helper()
		if got := d.try(t.Context(), args...); got != code ||
			!strings.HasPrefix(d.out.String(), begins) {
			t.Errorf("%q: exit %d, %.60q, %s", args, got, d.out.String(), d.err.String())
		}
		if left, err := os.ReadDir("."); err != nil || len(left) > 0 {
			t.Errorf("%q leaves %v, %v", args, left, err)
		}
	}
	out(0, "<?xml", "plan", "a", "--svg", "-")
	out(0, "SQLite format 3\x00", "backup", "-")
	out(0, "PK", "export", "--xlsx", "-")
	out(0, "{", "export", "--events", "-")
	out(0, "", "export", "--journal", "-")
	out(0, "<!DOCTYPE", "book", "-")
	out(0, "<!DOCTYPE", "stickers", "-")
	out(0, "BEGIN:VCALENDAR", "due", "--ics", "-")
	out(0, "", "year", "--csv", "-")
	for _, args := range [][]string{{"export", "--csv", "-"}, {"demo", "--in", "-"},
		{"sync", "setup", "-"}, {"plan", "a", "--svg", "-", "--json"},
		{"backup", "-", "--json"}, {"import", "-", "--bad-rows", "-"},
		{"stocktake", "--port", "-"}} {
		out(exitUsage, "", args...)
		if !strings.Contains(d.err.String(), "standard ") {
			t.Errorf("%q: %s", args, d.err.String())
		}
	}
	e, _, _ := inside(t)
	for _, args := range [][]string{{"list"}, {"receive", "x", "--net", "3g"}} {
		if run(t.Context(), e, append([]string{"endsmeet", "--stash", "-"}, args...)) != exitUsage {
			t.Errorf("a stash that is standard input: %q", args)
		}
	}
}

// TestAnyFileComesInThroughAPipe: what each form of export writes, and what backup does,
// is taken in from standard input.
func TestAnyFileComesInThroughAPipe(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, true)
	for _, forms := range [][2][]string{
		{{"export", "--xlsx", "-"}, {"import", "-"}}, {{"export", "--events", "-"}, {"import", "-"}},
		{{"backup", "-"}, {"restore", "-"}}} {
		if code := d.try(t.Context(), forms[0]...); code != 0 {
			t.Fatalf("%q: %s", forms[0], d.err.String())
		}
		d.env.stdin = strings.NewReader(d.out.String())
		d.stash = forms[0][len(forms[0])-2] + ".db"
		d.run(forms[1]...)
		if said := d.run("list"); !strings.Contains(said, "Y1") {
			t.Errorf("%q: %s", forms, said)
		}
		d.stash = "stash.db"
	}
	d.env.stdin = strings.NewReader("yarn,net\na,much\n")
	if code := d.try(t.Context(), "import", "-"); code != exitRefused ||
		!strings.Contains(d.err.String(), "standard input:2:2") {
		t.Errorf("exit %d, %s", code, d.err.String())
	}
}
