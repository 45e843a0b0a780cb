package ods

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/stash/measure"
	"endsmeet/stash/outside"
)

const (
	open  = `<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"><office:automatic-styles><style:style style:name="gone"><style:table-properties table:display="false"/></style:style></office:automatic-styles><office:body><office:spreadsheet>`
	shut  = `</office:spreadsheet></office:body></office:document-content>`
	heads = `<table:table-row>` + word + `name</text:p></table:table-cell>` + word +
		`net (g)</text:p></table:table-cell>` + word +
		`acquired</text:p></table:table-cell></table:table-row>`
	word = `<table:table-cell office:value-type="string"><text:p>`
)

// file writes a spreadsheet with this content.
func file(t testing.TB, content string) string {
	t.Helper()
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for name, text := range map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": content} {
		w, err := out.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(t.TempDir(), "stash.ods")
	if err := errors.Join(out.Close(), os.WriteFile(path, buf.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	return path
}

func sheet(name, rows string) string {
	return `<table:table table:name="` + name + `">` + rows + `</table:table>`
}

func grid(t testing.TB, path, sheet string) *importers.Grid {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	g, err := s.Grid(sheet)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func records(t testing.TB, g *importers.Grid) ([]importers.Record, *importers.Problems) {
	t.Helper()
	tab, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var good []importers.Record
	bad := &importers.Problems{}
	for rec, err := range tab.Records() {
		var e *importers.RowError
		switch {
		case errors.As(err, &e):
			bad.Add(e)
		case err != nil:
			t.Fatal(err)
		default:
			good = append(good, rec)
		}
	}
	return good, bad
}

func TestCells(t *testing.T) {
	path := file(t, open+sheet("Yarn",
		`<table:table-header-rows>`+heads+`</table:table-header-rows><table:table-row-group><table:table-row>`+
			`<table:table-cell office:value-type="string"><office:annotation><text:p>a comment</text:p></office:annotation><text:p>Two<text:s text:c="2"/>ply<text:tab/><text:span>wool</text:span></text:p><text:p>grey</text:p></table:table-cell>`+
			`<table:table-cell office:value-type="float" office:value="1234.5"><text:p>1.234,50 g</text:p></table:table-cell>`+
			`<table:table-cell office:value-type="date" office:date-value="2023-03-15T00:00:00"><text:p>15/03/23</text:p></table:table-cell></table:table-row></table:table-row-group>`)+shut)
	good, bad := records(t, grid(t, path, ""))
	if bad.Err() != nil || len(good) != 1 {
		t.Fatalf("got %d, %v", len(good), bad.Err())
	}
	if r := good[0]; r.Name != "Two  ply\twool\ngrey" || *r.Net != 1_234_500*measure.Milligram ||
		r.Acquired.String() != "2023-03-15" || r.Line != 2 {
		t.Errorf("got %+v", r)
	}
}

func TestFormulas(t *testing.T) {
	row := func(cell string) string {
		return file(t, open+sheet("Yarn",
			heads+`<table:table-row>`+word+`Wool</text:p></table:table-cell>`+cell+`</table:table-row>`)+shut)
	}
	good, bad := records(t, grid(t,
		row(`<table:table-cell table:formula="of:=2*5" office:value-type="float" office:value="10"><text:p>10</text:p></table:table-cell>`), ""))
	if bad.Err() != nil || *good[0].Net != 10*measure.Gram {
		t.Errorf("stored result: got %+v, %v", good, bad.Err())
	}
	for cell, why := range map[string]string{
		`<table:table-cell table:formula="of:=2*5"/>`: "result is not stored",
		`<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell>`: "shows an error",
	} {
		_, bad := records(t, grid(t, row(cell), ""))
		if bad.Rows != 1 || !strings.Contains(bad.Error(), "stash.ods!Yarn:2:2:") ||
			!strings.Contains(bad.Error(), why) {
			t.Errorf("%s: got %v", cell, bad)
		}
	}
}

func TestRepeats(t *testing.T) {
	wool := `<table:table-cell office:value-type="string" table:number-columns-repeated="%d"><text:p>Wool</text:p></table:table-cell>`
	row := `<table:table-row table:number-rows-repeated="%d">%s</table:table-row>`
	empty := `<table:table-cell table:number-columns-repeated="16384"/>`
	for _, c := range []struct {
		name, rows string
		lines      []int
		why        string
	}{
		{"empty rows and cells to the sheet's end cost nothing", heads +
			fmt.Sprintf(row, 1_048_000, empty) + fmt.Sprintf(row, 1, fmt.Sprintf(wool, 1)+empty),
			[]int{1, 1_048_002}, ""},
		{"rows with text repeat", heads + fmt.Sprintf(row, 3, fmt.Sprintf(wool, 1)),
			[]int{1, 2, 3, 4}, ""},
		{"rows with text beyond the limit", heads +
			fmt.Sprintf(row, 1_000_000, fmt.Sprintf(wool, 1)), []int{1}, "repeated 1000000 times"},
		{"cells with text beyond the limit", heads + fmt.Sprintf(row, 1, fmt.Sprintf(wool, 16384)),
			[]int{1}, "more than 1000 columns"},
		{"a number that is none", heads + strings.Replace(fmt.Sprintf(row, 7, ""), "7", "-1", 1),
			[]int{1}, "number-rows-repeated"},
		{"empty rows without end", heads + strings.Repeat(fmt.Sprintf(row, maxRow, empty), 3),
			[]int{1}, "more than"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := grid(t, file(t, open+sheet("Yarn", c.rows)+shut), "")
			var lines []int
			var last error
			for row, err := range g.Rows {
				if last = err; err == nil {
					lines = append(lines, row.Line)
				}
			}
			var p *importers.Problem
			if fmt.Sprint(lines) != fmt.Sprint(c.lines) || (c.why == "") != (last == nil) ||
				c.why != "" && (!errors.As(last, &p) || !p.Fatal ||
					!strings.Contains(p.Reason, c.why) || p.Sheet != "Yarn") {
				t.Errorf("got lines %v, %v", lines, last)
			}
		})
	}
}

func TestTableIsChosenByName(t *testing.T) {
	nested := `<table:table-row>` + word + `name</text:p></table:table-cell><table:table-cell>` +
		sheet("inner", heads) + `</table:table-cell></table:table-row>`
	path := file(t, open+sheet("Yarn", nested)+sheet("Silk &amp; more",
		heads+`<table:table-row>`+word+`Silk</text:p></table:table-cell></table:table-row>`)+
		strings.Replace(sheet("old", heads), `<table:table `,
			`<table:table table:style-name="gone" `, 1)+shut)
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for name, why := range map[string]string{"": "which of its sheets?",
		"Flax": `has no sheet "Flax"`} {
		if _, err := s.Grid(name); err == nil || !strings.Contains(err.Error(), why) ||
			!strings.Contains(err.Error(), "Yarn, Silk & more, old") {
			t.Errorf("%q: got %v", name, err)
		}
	}
	good, bad := records(t, grid(t, path, "silk & MORE"))
	if bad.Err() != nil || len(good) != 1 || good[0].Name != "Silk" {
		t.Errorf("got %+v, %v", good, bad.Err())
	}
	if g, err := s.Grid("old"); err != nil || g.Sheet != "old" {
		t.Errorf("a hidden table can't be named: %v", err)
	}
	only := file(t, open+sheet("Yarn", heads)+strings.Replace(sheet("old", heads), `<table:table `,
		`<table:table table:style-name="gone" `, 1)+shut)
	if g := grid(t, only, ""); g.Sheet != "Yarn" {
		t.Errorf("the only visible table is not taken: %q", g.Sheet)
	}
}

func TestBadFilesAreRefused(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for path, why := range map[string]string{
		dir:                                      "folder",
		write("empty.ods", ""):                   "empty",
		write("a.ods", "%PDF-"):                  "not an .ods",
		file(t, "<a>"):                           "damaged",
		file(t, "<a></a>"):                       "no table",
		file(t, open+sheet("Yarn", heads)[:300]): "damaged",
	} {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: got %v, want %q", path, err, why)
		}
	}
}

// Content beyond a limit is refused by what is really unpacked, without holding
// it, and the limit is named.
func TestBombsAreRefused(t *testing.T) {
	for name, tt := range map[string]struct{ content, why string }{
		"one text": {open + sheet("a", "<table:table-row>"+word+strings.Repeat("x", 5<<20)),
			"longer than any of a table"},
		"many texts": {open +
			sheet("a", "<table:table-row>"+word+strings.Repeat("<text:s/>x",
				1<<20)+"</text:p></table:table-cell></table:table-row>") + shut,
			"longer than a megabyte"},
		"tables": {open + strings.Repeat(sheet("a", ""), maxTables+1), "more than 10000 tables"},
		"deep":   {open + strings.Repeat("<table:table>", 100_000), "deep in each other"},
		"deep in a row": {open +
			sheet("a", "<table:table-row>"+word+strings.Repeat("<text:span>", 100_000)),
			"deep in each other"},
		"an attribute": {open + `<table:table table:name="` + strings.Repeat("x", 5<<20),
			"longer than any of a table"},
		"repetitions": {open + sheet("a",
			heads+strings.Repeat(`<table:table-row table:number-rows-repeated="10000">`+
				strings.Replace(word, "cell ", `cell table:number-columns-repeated="600" `,
					1)+`x</text:p></table:table-cell></table:table-row>`, 2)) + shut,
			"repeated cells"},
		"a long text again and again": {open + sheet("a",
			heads+`<table:table-row table:number-rows-repeated="1000">`+
				word+strings.Repeat("x", 1<<20)+`</text:p></table:table-cell></table:table-row>`) +
			shut, "repeated cells"},
	} {
		if err := readAll(t, file(t, tt.content)); err == nil ||
			!strings.Contains(err.Error(), tt.why) {
			t.Errorf("%s: got %v, want %q", name, err, tt.why)
		}
	}
}

// readAll opens a spreadsheet and reads its first sheet to the end.
func readAll(t *testing.T, path string) error {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	g, err := s.Grid("a")
	if err != nil {
		return err
	}
	for _, err := range g.Rows {
		if err != nil {
			return err
		}
	}
	return nil
}

// A spreadsheet that LibreOffice makes of the forty rows is read like the original.
func TestSpreadsheetOfLibreOffice(t *testing.T) {
	soffice := outside.Program(t, "soffice")
	dir := t.TempDir()
	cmd := exec.Command(soffice, "--headless", "-env:UserInstallation=file://"+dir+"/profile",
		"--convert-to", "ods", "--outdir", dir, "../../testdata/sheets/stash40.csv")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	good, bad := records(t, grid(t, filepath.Join(dir, "stash40.ods"), ""))
	if bad.Err() != nil || len(good) != 40 {
		t.Errorf("got %d rows, %v", len(good), bad.Err())
	}
}

func FuzzContent(f *testing.F) {
	seeds := []string{open + sheet("Yarn", heads) + shut,
		`<table:table><table:table-row table:number-rows-repeated="9"><table:table-cell><text:p>x</text:p></table:table-cell></table:table-row></table:table>`, `<table><table-row/><table-row-group><table-row><c/></table-row></table-row-group></table>`, `<table><table>`}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, content string) {
		s, err := Open(file(t, content))
		if err != nil {
			return
		}
		defer s.Close()
		for i := range s.tables {
			line := 0
			s.rows(i, func(row importers.Row, err error) bool {
				if err != nil {
					var p *importers.Problem
					if !errors.As(err, &p) || p.Hint == "" {
						t.Fatal(err)
					}
					return true
				}
				if row.Line <= line {
					t.Fatalf("row %d follows row %d", row.Line, line)
				}
				line = row.Line
				for j, c := range row.Cells {
					if c.Col != j+1 || c.Row != row.Line {
						t.Fatalf("cell %+v at %d", c, j)
					}
				}
				return line < 100_000
			})
		}
	})
}
