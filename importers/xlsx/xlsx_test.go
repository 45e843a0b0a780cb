package xlsx

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/stash/measure"
	"endsmeet/stash/outside"
)

// kept is the path of a workbook in testdata/sheets.
func kept(name string) string { return filepath.Join("../../testdata/sheets", name) }

func grid(t testing.TB, path, sheet string) *importers.Grid {
	t.Helper()
	w, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
	g, err := w.Grid(sheet)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func records(t testing.TB, g *importers.Grid) ([]importers.Record, *importers.Problems) {
	t.Helper()
	table, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var good []importers.Record
	bad := &importers.Problems{}
	for rec, err := range table.Records() {
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
	good, bad := records(t, grid(t, kept("cells.xlsx"), ""))
	if bad.Err() != nil || len(good) != 2 {
		t.Fatalf("got %d, %v", len(good), bad.Err())
	}
	a, b := good[0], good[1]
	if *a.Net != 1_234_500*measure.Milligram || a.Acquired.String() != "2023-03-15" ||
		a.Lot != "007" || a.Warp != importers.WarpYes {
		t.Errorf("got %+v", a)
	}
	if *b.Net != 300*measure.Milligram || b.Acquired.String() != "2023-03-15" || b.Lot != "12" ||
		b.Warp != importers.WarpNo {
		t.Errorf("got %+v", b)
	}
}

func TestFormatsOfNumbers(t *testing.T) {
	for code, want := range map[string]shape{"0.00": asNumber, "0.0%": asPercent, "yyyy": asDate,
		`"day" 0`: asNumber, `\d0`: asNumber, "[Red]0": asNumber, "d/m": asDate} {
		if got := custom(code); got != want {
			t.Errorf("%s: got %v, want %v", code, got, want)
		}
	}
	good, bad := records(t, grid(t, kept("percent.xlsx"), ""))
	if bad.Err() != nil || *good[0].Doubt != 7*measure.Percent {
		t.Errorf("got %+v, %v", good, bad.Err())
	}
}

func TestCountsThatBecameDatesAreRefused(t *testing.T) {
	_, bad := records(t, grid(t, kept("count-as-date.xlsx"), ""))
	if bad.Rows != 1 || !strings.Contains(bad.Error(),
		`count-as-date.xlsx!Sheet1:2:2: "count": "2024-02-08": the spreadsheet holds a date`) {
		t.Errorf("got %v", bad)
	}
}

func TestFormulas(t *testing.T) {
	row := func(cell string) string {
		return sheetOf(t, `<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>name</t></is></c><c r="B1" t="inlineStr"><is><t>net (g)</t></is></c></row><row r="2"><c r="A2" t="inlineStr"><is><t>Wool</t></is></c>`+cell+`</row></sheetData>`)
	}
	t.Run("count by their stored result, and are marked", func(t *testing.T) {
		g := grid(t, row(`<c r="B2"><f>5*2</f><v>10</v></c>`), "")
		var cell importers.Cell
		for row := range g.Rows {
			if row.Line == 2 {
				cell = row.Cells[1]
			}
		}
		good, bad := records(t, g)
		if bad.Err() != nil || *good[0].Net != 10*measure.Gram || !cell.Formula ||
			cell.Kind != importers.KindNumber {
			t.Errorf("got %+v, %v, cell %+v", good, bad.Err(), cell)
		}
	})
	for cell, why := range map[string]string{
		`<c r="B2"><f>5*2</f></c>`:                     "result is not stored",
		`<c r="B2" t="e"><f>1/0</f><v>#DIV/0!</v></c>`: "shows an error",
	} {
		t.Run(why, func(t *testing.T) {
			good, bad := records(t, grid(t, row(cell), ""))
			if len(good) != 0 || bad.Rows != 1 || !strings.Contains(bad.Error(), ":2:2:") ||
				!strings.Contains(bad.Error(), why) {
				t.Errorf("got %d good, %v", len(good), bad)
			}
		})
	}
}

func TestSheetIsChosenByName(t *testing.T) {
	path := kept("three-sheets.xlsx")
	w, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	for name, why := range map[string]string{"": "which of its sheets?",
		"Flax": `has no sheet "Flax"`} {
		if _, err := w.Grid(name); err == nil || !strings.Contains(err.Error(), why) ||
			!strings.Contains(err.Error(), "Sheet1, Silk & more, old") {
			t.Errorf("%q: got %v", name, err)
		}
	}
	good, bad := records(t, grid(t, path, "silk & MORE"))
	if bad.Err() != nil || len(good) != 1 || good[0].Name != "Silk" || good[0].Line != 4 {
		t.Errorf("got %+v, %v", good, bad.Err())
	}
}

// rewrite copies a zip archive with its parts changed; nil drops a part.
func rewrite(t testing.TB, path string, change func(name string, data []byte) []byte) string {
	t.Helper()
	in, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if data = change(f.Name, data); data == nil {
			continue
		}
		w, err := out.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(data); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	changed := filepath.Join(t.TempDir(), "stash.xlsx")
	if err := os.WriteFile(changed, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return changed
}

const header = `<row r="1"><c r="A1" t="inlineStr"><is><t>name</t></is></c><c r="B1" t="inlineStr"><is><t>lot</t></is></c></row>`

func TestMaliciousSheets(t *testing.T) {
	for _, c := range []struct{ name, rows, why string }{
		{"a row beyond the format's last", `<sheetData>` + header +
			`<row r="99999999"><c r="A99999999"><v>1</v></c></row></sheetData>`, "damaged"},
		{"rows that go back", `<sheetData>` + header +
			`<row r="1"><c r="A1"><v>1</v></c></row></sheetData>`, "follows row"},
		{"a column far out", `<sheetData>` + header +
			`<row r="2"><c r="XFD2"><v>1</v></c></row></sheetData>`, "more than 1000 columns"},
		{"a column beyond the format's last", `<sheetData>` + header +
			`<row r="2"><c r="ZZZZZ2"><v>1</v></c></row></sheetData>`, "calls itself"},
		{"a cell of another row", `<sheetData>` + header +
			`<row r="2"><c r="A9"><v>1</v></c></row></sheetData>`, "calls itself"},
		{"cut off inside", `<sheetData>` + header + `<row r="2"><c r="A2"><v>1`, "damaged"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := grid(t, sheetOf(t, c.rows), "")
			var last error
			for _, err := range g.Rows {
				last = err
			}
			var p *importers.Problem
			if !errors.As(last, &p) || !p.Fatal || !strings.Contains(p.Reason, c.why) ||
				p.Sheet != "Sheet1" || p.Hint == "" {
				t.Errorf("got %v", last)
			}
		})
	}
	t.Run("a gap of a million rows costs nothing", func(t *testing.T) {
		g := grid(t, sheetOf(t, `<sheetData>`+header+`<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>last</t></is></c></row></sheetData>`), "")
		good, bad := records(t, g)
		if bad.Err() != nil || len(good) != 1 || good[0].Line != 1_048_576 {
			t.Errorf("got %+v, %v", good, bad.Err())
		}
	})
}

func TestZipBombsAreRefused(t *testing.T) {
	path := sheetOf(t, `<sheetData>`+header+`</sheetData>`)
	zeros := make([]byte, maxPart+1)
	for _, part := range []string{"xl/media/image1.png", "xl/styles.xml",
		"xl/worksheets/other.xml"} {
		t.Run(part, func(t *testing.T) {
			in := addPart(t, path, part, zeros)
			_, err := Open(in)
			if err == nil || !strings.Contains(err.Error(), "unpacks to more than 32 MB") {
				t.Errorf("got %v", err)
			}
		})
	}
	t.Run("many parts", func(t *testing.T) {
		var buf bytes.Buffer
		out := zip.NewWriter(&buf)
		for i := range maxParts + 1 {
			if _, err := out.Create(fmt.Sprint(i)); err != nil {
				t.Fatal(err)
			}
		}
		in := filepath.Join(t.TempDir(), "many.xlsx")
		if err := errors.Join(out.Close(), os.WriteFile(in, buf.Bytes(), 0o600)); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(in); err == nil || !strings.Contains(err.Error(), "parts") {
			t.Errorf("got %v", err)
		}
	})
}

// addPart adds a part to an archive, or puts it in the place of one.
func addPart(t testing.TB, path, name string, data []byte) string {
	added := rewrite(t, path, func(part string, old []byte) []byte {
		if part == name {
			return nil
		}
		return old
	})
	raw, err := os.ReadFile(added)
	if err != nil {
		t.Fatal(err)
	}
	in, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, f := range in.File {
		if err := out.Copy(f); err != nil {
			t.Fatal(err)
		}
	}
	w, err := out.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(out.Close(), os.WriteFile(added, buf.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	return added
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
	good := sheetOf(t, `<sheetData>`+header+`</sheetData>`)
	raw, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	for path, why := range map[string]string{
		dir:                           "folder",
		write("empty.xlsx", ""):       "empty",
		write("pdf.xlsx", "%PDF-1.7"): "not an .xlsx",
		write("cut.xlsx", string(raw[:len(raw)/2])): "not an .xlsx",
		rewrite(t, good, onlyPart("xl/_rels")):      "no .xlsx workbook",
		rewrite(t, good, func(n string, d []byte) []byte {
			if n == "xl/workbook.xml" {
				return []byte("<workbook/>")
			}
			return d
		}): "has no sheet",
	} {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: got %v, want %q", path, err, why)
		}
	}
}

func onlyPart(prefix string) func(string, []byte) []byte {
	return func(name string, data []byte) []byte {
		if strings.HasPrefix(name, prefix) {
			return data
		}
		return nil
	}
}

// A workbook with a link to another file is read by its stored results.
func TestExternalLinksAreNotFollowed(t *testing.T) {
	path := sheetOf(t, `<sheetData>`+header+`<row r="2"><c r="A2" t="str"><f>[1]Sheet1!$A$1</f><v>Wool</v></c></row></sheetData>`)
	path = addPart(t, path, "xl/externalLinks/externalLink1.xml",
		[]byte(`<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook/></externalLink>`))
	path = addPart(t, path, "xl/externalLinks/_rels/externalLink1.xml.rels",
		[]byte(`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Target="file:///etc/passwd" TargetMode="External"/></Relationships>`))
	good, bad := records(t, grid(t, path, ""))
	if bad.Err() != nil || len(good) != 1 || good[0].Name != "Wool" {
		t.Errorf("got %+v, %v", good, bad.Err())
	}
}

// A workbook that LibreOffice makes of the forty rows is read like the original.
func TestWorkbookOfLibreOffice(t *testing.T) {
	soffice := outside.Program(t, "soffice")
	dir := t.TempDir()
	cmd := exec.Command(soffice, "--headless", "-env:UserInstallation=file://"+dir+"/profile",
		"--convert-to", "xlsx", "--outdir", dir, kept("stash40.csv"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	good, bad := records(t, grid(t, filepath.Join(dir, "stash40.xlsx"), ""))
	if bad.Err() != nil || len(good) != 40 {
		t.Errorf("got %d rows, %v", len(good), bad.Err())
	}
}
