// Package sheets holds the .xlsx reader and writer against excelize 2.11,
// which did not write them.
package sheets

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"endsmeet/importers"
	"endsmeet/importers/xlsx"
)

// rowsRead are the cells of every row of a sheet.
func rowsRead(t rapid.TB, path, sheet string) [][]importers.Cell {
	t.Helper()
	w, err := xlsx.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	g, err := w.Grid(sheet)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]importers.Cell
	for row, err := range g.Rows {
		if err != nil {
			t.Fatal(err)
		}
		for len(rows) < row.Line {
			rows = append(rows, nil)
		}
		rows[row.Line-1] = append([]importers.Cell(nil), row.Cells...)
	}
	return rows
}

// stored stores rows of one sheet with excelize and returns the path.
func stored(t rapid.TB, dir string, fill func(f *excelize.File) error) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	path := filepath.Join(dir, "stored.xlsx")
	if err := errors.Join(fill(f), f.SaveAs(path)); err != nil {
		t.Fatal(err)
	}
	return path
}

// written writes a workbook of one sheet with ours and returns its path.
func written(t rapid.TB, dir string, rows ...[]xlsx.Value) string {
	t.Helper()
	var buf bytes.Buffer
	w := xlsx.NewWriter(&buf)
	err := w.Sheet("stash & more", []string{"name", "a", "b"}, []int{10, 20, 30})
	for _, row := range rows {
		err = errors.Join(err, w.Row(row))
	}
	path := filepath.Join(dir, "written.xlsx")
	if err := errors.Join(err, w.Close(), os.WriteFile(path, buf.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	return path
}

// What excelize stores, as shared and as inline texts, numbers and truths, is
// read as excelize itself reads it.
func TestReaderAgreesWithExcelize(t *testing.T) {
	dir := t.TempDir()
	value := rapid.OneOf(rapid.Map(rapid.StringMatching(`[a-zé<&" _x0-9A-F]{1,20}`),
		func(s string) any { return s }),
		rapid.Map(rapid.Float64Range(-1e12, 1e12), func(f float64) any { return f }),
		rapid.Map(rapid.Int32(), func(i int32) any { return i }))
	rapid.Check(t, func(r *rapid.T) {
		rows := rapid.SliceOfN(rapid.SliceOfN(value, 1, 6), 1, 6).Draw(r, "rows")
		path := stored(r, dir, func(f *excelize.File) error {
			var err error
			for i, row := range rows {
				err = errors.Join(err, f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row))
			}
			return err
		})
		want := theirs(r, path)
		got := rowsRead(r, path, "")
		if len(got) != len(want) {
			r.Fatalf("%d rows, want %d", len(got), len(want))
		}
		for i := range want {
			for j, text := range want[i] {
				if _, isText := rows[i][j].(string); isText && got[i][j].Text != text || !isText &&
					!sameNumber(got[i][j].Text, text) {
					r.Fatalf("row %d, column %d: %q, want %q", i+1, j+1, got[i][j].Text, text)
				}
			}
		}
	})
}

// theirs are the rows as excelize reads them.
func theirs(t rapid.TB, path string) [][]string {
	t.Helper()
	f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("Sheet1")
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func sameNumber(a, b string) bool {
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	return errA == nil && errB == nil && x == y
}

// Days of serial numbers are what excelize makes of them, from the 1st of
// March 1900, where the format's mistaken leap day is over.
func TestDaysAgreeWithExcelize(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(r *rapid.T) {
		mac := rapid.Bool().Draw(r, "from 1904")
		number := float64(rapid.IntRange(61, 2_950_000).Draw(r, "day")) +
			float64(rapid.IntRange(0, 3).Draw(r, "quarter"))/4
		path := stored(r, dir, func(f *excelize.File) error {
			day, err := f.NewStyle(&excelize.Style{NumFmt: 14})
			return errors.Join(err,
				f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &mac}),
				f.SetSheetRow("Sheet1", "A1", &[]any{number}),
				f.SetCellStyle("Sheet1", "A1", "A1", day))
		})
		day, err := excelize.ExcelDateToTime(number, mac)
		cell := rowsRead(r, path, "")[0][0]
		if err != nil || cell.Kind != importers.KindDate || cell.Text != day.Format("2006-01-02") {
			r.Fatalf("%v: we read %+v, excelize %v, %v", number, cell, day, err)
		}
	})
}

// cellTexts are texts that a spreadsheet could make something else of.
func cellTexts() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.StringMatching(`[_x0-9A-F ]{0,20}`),
		rapid.SampledFrom([]string{
			"=1+1", "@SUM(A1)", "+1", "007", "1e5", "TRUE", "_x0041_", "__x0041_", "_x005F_",
			" led and trailed ", "two\nlines", "a\r\nb", "\x00\x1b[2J", "<b>&amp;", "ﬁ ✓ 𝒳",
			"\ufffe",
		}))
}

// Excelize reads every text and number that our writer stored.
func TestExcelizeReadsWhatIsWritten(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		texts := rapid.SliceOfN(cellTexts(), 1, 5).Draw(t, "texts")
		number := rapid.Float64().Draw(t, "number")
		var rows [][]xlsx.Value
		for _, text := range texts {
			rows = append(rows, []xlsx.Value{{Text: text}, {},
				{Text: strconv.FormatFloat(number, 'f', -1, 64), Number: true}})
		}
		f, err := excelize.OpenFile(written(t, dir, rows...))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for i, text := range texts {
			row := strconv.Itoa(i + 2)
			if got, err := f.GetCellValue("stash & more", "A"+row); err != nil ||
				got != strings.ToValidUTF8(text, "\uFFFD") {
				t.Fatalf("%q: excelize reads %q, %v", text, got, err)
			}
			got, err := f.GetCellValue("stash & more", "C"+row,
				excelize.Options{RawCellValue: true})
			if n, bad := strconv.ParseFloat(got, 64); err != nil || bad != nil || n != number {
				t.Fatalf("%v: excelize reads %q, %v", number, got, err)
			}
		}
	})
}

func TestHeadingsAreBoldAndStay(t *testing.T) {
	f, err := excelize.OpenFile(written(t, t.TempDir(), []xlsx.Value{{Text: "Wool"}}))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	style, err := f.GetCellStyle("stash & more", "A1")
	if err != nil {
		t.Fatal(err)
	}
	panes, err := f.GetPanes("stash & more")
	if s, bad := f.GetStyle(style); err != nil || bad != nil || !s.Font.Bold || !panes.Freeze ||
		panes.YSplit != 1 {
		t.Errorf("style %+v, panes %+v, %v, %v", s, panes, err, bad)
	}
	if width, err := f.GetColWidth("stash & more", "B"); err != nil || width != 20 {
		t.Errorf("width %v, %v", width, err)
	}
}
