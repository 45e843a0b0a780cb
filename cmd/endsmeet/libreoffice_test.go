package main

import (
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/outside"
)

// Our own workbook and our own tables, opened and saved by LibreOffice (7.4 of Debian 12,
// or what is here), are read back as what they are: nothing is added and nothing changed,
// though it rewrites every file and takes texts such as 007 for numbers.
func TestWhatLibreOfficeSavesOfOursChangesNothing(t *testing.T) {
	t.Parallel()
	d := rapid.Custom(func(rt *rapid.T) *desk {
		d := newDesk(t)
		random(rt, d)
		return d
	}).Example(5)
	d.run("receive", "Oldenlea linen", "--new", "--tag", "007", "--lot", "1.500", "--colour",
		"2-Aug", "--note", "=1+1", "--fibre", "linen", "--count", "16/1 lea", "--gross", "320g",
		"--tare", "20g", "--form", "cone")
	d.run("lend", "007", "--to", "a guild")
	d.run("export", "--xlsx", d.path("book.xlsx"), "--csv", d.path("tables"))
	saved := d.path("saved")
	for _, format := range []string{"xlsx", "ods"} {
		convertInto(t, d, saved, format, d.path("book.xlsx"))
	}
	tables, err := filepath.Glob(d.path("tables/*.csv"))
	if err != nil || len(tables) < 4 {
		t.Fatal(tables, err)
	}
	convertInto(t, d, filepath.Join(saved, "tables"), "csv", tables...)
	before := d.run("--json", "list")
	for _, args := range [][]string{
		{"import", filepath.Join(saved, "book.xlsx")}, {"import", filepath.Join(saved, "book.ods")},
		{"import", filepath.Join(saved, "tables")},
		{"import", filepath.Join(saved, "book.xlsx"), "--sheet", "items"},
		{"import", filepath.Join(saved, "book.ods"), "--sheet", "stash"},
	} {
		nothingNew(t, d, args)
		if after := d.run("--json", "list"); after != before {
			t.Errorf("%q changed the stash:\n%s\n%s", args, before, after)
		}
	}
	d.checked()
}

// convertInto has LibreOffice write files in another format into a folder.
func convertInto(t *testing.T, d *desk, folder, format string, from ...string) {
	t.Helper()
	if err := os.MkdirAll(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	args := append([]string{"-env:UserInstallation=file://" + d.path("office"), "--headless",
		"--convert-to", format, "--outdir", folder}, from...)
	output(t, "", outside.Program(t, "soffice"), args...)
}
