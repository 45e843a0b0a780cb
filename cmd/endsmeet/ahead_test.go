package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// Every command with --on asks about a day after tomorrow before anything else, in each
// of its forms, and takes it when somebody insists.
func TestADayAfterTomorrowIsAskedAboutInEveryCommand(t *testing.T) {
	d := formsDesk(t, true)
	all, seen := map[string]*cli.Command{}, map[string]bool{}
	leaves(commands(&d.env), "", func(name string, c *cli.Command) { all[name] = c })
	dated := func(c *cli.Command) bool {
		return slices.ContainsFunc(c.Flags, func(f cli.Flag) bool { return f.Names()[0] == "on" })
	}
	for _, form := range formsOf {
		name := form[0]
		if all[name] == nil {
			name += " " + form[1]
		}
		if !dated(all[name]) {
			continue
		}
		args := append(withFiles(d, form), "--dry-run", "--on", "2036-03-01")
		const ahead = "it has not come yet"
		d.try(context.Background(), args...)
		if asked := strings.Contains(d.err.String(), ahead); !asked && !looksOnly(form) {
			t.Errorf("%q: %s", args, d.err.String())
		} else if asked {
			seen[name] = true
		}
		d.try(context.Background(), append(args, "--"+insistOption)...)
		if strings.Contains(d.err.String(), ahead) {
			t.Errorf("%q insists, and is refused: %s", args, d.err.String())
		}
	}
	for name, c := range all {
		if dated(c) && !seen[name] && formless[name] == "" && !strings.HasPrefix(name, "sync") {
			t.Errorf("%s has --on, and nothing asks about a day ahead", name)
		}
	}
}

// looksOnly says whether a form records nothing, so that a date has no use in it.
func looksOnly(form []string) bool {
	return slices.Contains([]string{"plan", "share", "loom", "config", "import"}, form[0])
}
