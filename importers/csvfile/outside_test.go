package csvfile

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

// What the sqlite3 shell writes with .mode csv, cells that need care among
// them, is read back as it was.
func TestFileOfTheSQLiteShell(t *testing.T) {
	script := `.headers on
.mode csv
select 'Wool' as name, 'say ""soft""' as notes, 12.5 as "net (g)", 'a,b' as "dye lot"
union all select 'Ünwool', 'two' || char(10) || 'lines', 7, '';
`
	out := run(t, tool(t, "sqlite3", ":memory:"), script)
	path := filepath.Join(t.TempDir(), "sqlite.csv")
	if err := os.WriteFile(path, []byte(out), 0o600); err != nil {
		t.Fatal(err)
	}
	_, all := records(t, path)
	if len(all) != 2 {
		t.Fatalf("got %d rows of %q", len(all), out)
	}
	a, b := all[0], all[1]
	if a.Name != "Wool" || a.Notes[0].Text != `say ""soft""` ||
		*a.Net != 12_500*measure.Milligram || a.Lot != "a,b" {
		t.Errorf("got %+v", a)
	}
	if b.Name != "Ünwool" || b.Notes[0].Text != "two\nlines" || *b.Net != 7*measure.Gram ||
		b.Lot != "" {
		t.Errorf("got %+v", b)
	}
}

// The sqlite3 shell and this package read the forty rows alike.
func TestReadAsTheSQLiteShellReads(t *testing.T) {
	sep := "\x1f"
	script := ".import --csv ../../testdata/sheets/stash40.csv y\n.mode list\n.separator \x1f \x1e\nselect * from y;\n"
	out := run(t, tool(t, "sqlite3", ":memory:"), script)
	want := strings.Split(strings.TrimSuffix(out, "\x1e"), "\x1e")
	raw, err := os.ReadFile("../../testdata/sheets/stash40.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, problems := cellsOf(t, strings.ReplaceAll(string(raw), "|", sep), Options{})
	var got []string
	for _, row := range rows[1:] {
		got = append(got, strings.ReplaceAll(row, "|", sep))
	}
	if len(problems) > 0 || len(want) != 40 || !slices.Equal(got, want) {
		t.Errorf("%d and %d rows, %v", len(got), len(want), problems)
	}
}

// What LibreOffice makes of the forty rows, as CSV with semicolons in
// Windows-1252, is read as the original is.
func TestFileOfLibreOffice(t *testing.T) {
	dir := t.TempDir()
	cmd := tool(t, "soffice", "--headless", "-env:UserInstallation=file://"+dir+"/profile",
		"--convert-to", "csv:Text - txt - csv (StarCalc):59,34,1252", "--outdir", dir,
		"../../testdata/sheets/stash40.csv")
	convert(t, cmd)
	_, want := records(t, "../../testdata/sheets/stash40.csv")
	table, got := records(t, filepath.Join(dir, "stash40.csv"))
	if table.Grid.Delimiter != "semicolon" || len(got) != len(want) {
		t.Fatalf("got %s, %d rows", table.Grid.Delimiter, len(got))
	}
	for i := range got {
		if got[i].Name != want[i].Name || *got[i].Net != *want[i].Net {
			t.Errorf("got %+v, want %+v", got[i], want[i])
		}
	}
}

func convert(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	var errs bytes.Buffer
	cmd.Stderr = &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %v\n%s", cmd.Args, err, errs.String())
	}
}
