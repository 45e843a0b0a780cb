package xlsx

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"endsmeet/importers"
)

// packed is a workbook of one sheet with the given rows and shared texts, made
// without a library: a fuzzer wants the same work for the same input.
func packed(t testing.TB, rows, texts string) string {
	t.Helper()
	const space = ` xmlns="` + mainSpace + `">`
	parts := [][2]string{
		{"xl/workbook.xml", `<workbook xmlns:r="` + officeSpace + `"` + space +
			`<sheets><sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>`},
		{"xl/_rels/workbook.xml.rels", relations(relation("worksheet", "worksheets/sheet1.xml", 1),
			relation("sharedStrings", "sharedStrings.xml", 2))},
		{"xl/worksheets/sheet1.xml", `<worksheet` + space + rows + `</worksheet>`},
		{"xl/sharedStrings.xml", `<sst` + space + texts + `</sst>`},
	}
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, part := range parts {
		w, err := out.Create(part[0])
		if _, err2 := io.WriteString(w, part[1]); err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
	}
	path := filepath.Join(t.TempDir(), "stash.xlsx")
	if err := errors.Join(out.Close(), os.WriteFile(path, buf.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	return path
}

// sheetOf is a workbook of one sheet with these rows.
func sheetOf(t testing.TB, rows string) string { return packed(t, rows, "") }

func FuzzSheet(f *testing.F) {
	seeds := []string{`<sheetData>` + header +
		`<row r="2"><c r="A2"><v>1</v></c></row></sheetData>`,
		`<sheetData><row><c><f>1</f></c></row></sheetData>`,
		`<sheetData><row r="5"><c r="C5" t="e"><v>#REF!</v></c><c r="B5"/></row></sheetData>`,
		`<sheetData><row r="2"><c t="s"><v>99999</v></c></row>`,
		`<sheetData><row><c t="s"><v>0</v></c><c t="s"><v>1</v></c></row></sheetData>`,
		`<a><row/></a>`}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s, `<si><t>Wool</t></si><si><r><t>a_x0009_</t></r><rPh><t>b</t></rPh></si>`)
		f.Add(s, `<si><t>Wool`)
	}
	f.Fuzz(func(t *testing.T, rows, texts string) {
		w, err := Open(packed(t, rows, texts))
		if err != nil {
			var p *importers.Problem
			if !errors.As(err, &p) || p.Hint == "" {
				t.Fatal(err)
			}
			return
		}
		defer w.Close()
		g, err := w.Grid("")
		if err != nil {
			t.Fatal(err)
		}
		line := 0
		for row, err := range g.Rows {
			if err != nil {
				var p *importers.Problem
				if !errors.As(err, &p) || p.Hint == "" {
					t.Fatal(err)
				}
				continue
			}
			if row.Line <= line {
				t.Fatalf("row %d follows row %d", row.Line, line)
			}
			line = row.Line
			for i, c := range row.Cells {
				if c.Col != i+1 || c.Row != row.Line {
					t.Fatalf("cell %+v at %d", c, i)
				}
			}
		}
	})
}
