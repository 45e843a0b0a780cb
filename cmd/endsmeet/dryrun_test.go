package main

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// recorders are the commands that record something: whatever takes --once.
func recorders(d *desk) map[string]bool {
	all := map[string]bool{}
	leaves(commands(&d.env), "", func(name string, c *cli.Command) {
		if slices.Contains(optionsOf(c), "once") && !strings.HasPrefix(name, "sync") {
			all[name] = true
		}
	})
	return all
}

// TestATryChangesNothing: whatever a command that records is given, with --dry-run it
// does all of it, says that it was only tried, and leaves each byte of the stash and each
// file as it was.
func TestATryChangesNothing(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, true)
	left := recorders(d)
	if len(left) < 20 {
		t.Fatalf("only %d commands record", len(left))
	}
	for _, form := range slices.Concat(formsOf, triedToo(t, d)) {
		name := strings.Join(form[:min(2, len(form))], " ")
		if !left[name] && !recorders(d)[name] {
			name = form[0]
		}
		if !recorders(d)[name] {
			continue
		}
		args := withFiles(d, form)
		before := filesOf(t, d.dir)
		if code := d.try(t.Context(), append(args, "--dry-run")...); code != 0 {
			t.Errorf("%q: exit %d, %s", form, code, d.err.String())
		}
		if strings.Contains(d.err.String(), "only tried") ||
			strings.Contains(d.out.String(), "Would import") {
			delete(left, name)
		}
		if !maps.Equal(before, filesOf(t, d.dir)) {
			t.Errorf("%q --dry-run changes something", form)
		}
	}
	for name := range left {
		t.Errorf("%s is not tried in any form", name)
	}
}

// TestATryMakesNoStash: where there is no stash, what is only tried leaves nothing.
func TestATryMakesNoStash(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	d := newDesk(t)
	if err := os.Remove(d.path(d.stash)); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"receive", "Wool", "--net", "5g"}, {"config", "units=imperial"},
		{"person", "add", "Mira"}, {"project", "add", "scarf"}} {
		if said := d.run(append(args, "--dry-run")...); said == "" {
			t.Errorf("%q says nothing", args)
		}
		if left := slices.Concat(lyingIn(t, d.dir), lyingIn(t, os.TempDir())); len(left) > 0 {
			t.Errorf("%q --dry-run leaves %v", args, left)
		}
	}
}

// lyingIn is what lies in a folder.
func lyingIn(t *testing.T, folder string) []os.DirEntry {
	t.Helper()
	all, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// triedToo are forms that need files of their own.
func triedToo(t *testing.T, d *desk) [][]string {
	t.Helper()
	picture, err := os.ReadFile(conePicture)
	if err != nil {
		t.Fatal(err)
	}
	return [][]string{
		{"redate", "today", "yesterday", "--machine", "this"},
		{"photo", "add", "Y1", d.file("cone.jpg", string(picture))},
	}
}

// filesOf reads all files below a folder, but the empty ones that stand for locks and
// what SQLite keeps beside an open file.
func filesOf(t *testing.T, folder string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		raw, err := os.ReadFile(path)
		if len(raw) > 0 && !strings.HasSuffix(path, "-shm") {
			files[path] = string(raw)
		}
		return err
	})
	if err != nil || len(files) == 0 {
		t.Fatal("nothing in the folder", err)
	}
	return files
}
