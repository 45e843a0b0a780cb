package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// Every command with --on asks about a day after tomorrow before anything else, in each
// of its forms, and takes it when somebody insists.
func TestADayAfterTomorrowIsAskedAboutInEveryCommand(t *testing.T) {
	t.Parallel()
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

// Every fact that tells what has happened asks about a day ahead, set, received with or from
// a sheet; that a promise is ahead is right.
func TestADatedFactAheadIsAskedAboutHoweverItComesIn(t *testing.T) {
	d := newDesk(t)
	d.run("receive", "Marrow wool", "--net", "20g", "--tag", "M")
	walked := 0
	for _, f := range stash.FieldsOf(stash.WhatPackage) {
		if !f.Past {
			if f.Dated {
				t.Errorf("%s is dated, and nothing asks about a day ahead", f.Name)
			}
			continue
		}
		walked++
		value := strings.NewReplacer("2026-01-30..2026-03-01", "2036-01-30..2036-03-01",
			"2026-", "2036-", "2023-", "2036-").Replace(f.Help)
		if f.Name == "quarantine" {
			value = "2036-01-30 webbing"
		}
		sheet := d.file(f.Name+".csv", "yarn,net (g),"+f.Name+"\nHill "+f.Name+",50,"+value+"\n")
		for _, args := range [][]string{{"set", "M", f.Name + "=" + value},
			{"receive", "Ling", "--net", "5g", "--" + f.Name, value}, {"import", sheet}} {
			if args[0] == "import" && len(f.Headings) == 0 {
				continue // no column holds it
			}
			err := d.try(t.Context(), args...)
			if told := d.out.String() + d.err.String(); !strings.Contains(told, "has not come yet") {
				t.Errorf("%q: %v, %s", args, err, told)
			}
		}
		d.run("set", "M", f.Name+"="+value, "--"+insistOption)
	}
	if walked < 5 {
		t.Errorf("%d facts that tell what happened", walked)
	}
}
