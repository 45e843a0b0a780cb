package xlsx

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/importers"
)

// written writes a workbook of one sheet and returns its path.
func written(t rapid.TB, dir string, rows ...[]Value) string {
	t.Helper()
	var buf bytes.Buffer
	w := NewWriter(&buf)
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

// allRows reads every row of the only sheet.
func allRows(t rapid.TB, path string) [][]importers.Cell {
	t.Helper()
	w, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	g, err := w.Grid("")
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

// cellTexts are texts that a spreadsheet could make something else of.
func cellTexts() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.StringMatching(`[_x0-9A-F ]{0,20}`),
		rapid.SampledFrom([]string{
			"=1+1", "@SUM(A1)", "+1", "007", "1e5", "TRUE", "_x0041_", "__x0041_", "_x005F_",
			" led and trailed ", "two\nlines", "a\r\nb", "\x00\x1b[2J", "<b>&amp;", "ﬁ ✓ 𝒳",
			"\ufffe",
		}))
}

// Every text and number that the writer stored is read back.
func TestWrittenWorkbookIsReadBack(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		texts := rapid.SliceOfN(cellTexts(), 1, 5).Draw(t, "texts")
		plain := strconv.FormatFloat(rapid.Float64().Draw(t, "number"), 'f', -1, 64)
		var rows [][]Value
		for _, text := range texts {
			rows = append(rows, []Value{{Text: text}, {}, {Text: plain, Number: true}})
		}
		ours := allRows(t, written(t, dir, rows...))
		for i, text := range texts {
			want := strings.ToValidUTF8(text, "\uFFFD")
			if got := ours[i+1]; got[0].Text != want || got[0].Kind == importers.KindNumber ||
				got[2].Text != plain || got[2].Kind != importers.KindNumber {
				t.Fatalf("%q and %s: we read %+v", text, plain, got)
			}
		}
	})
}

func TestWriterRefusesWhatNoSheetCanHold(t *testing.T) {
	for name, write := range map[string]func(*Writer) error{
		"a row before the first sheet": func(w *Writer) error { return w.Row(nil) },
		"no sheet":                     func(w *Writer) error { return w.Close() },
		"no name":                      func(w *Writer) error { return w.Sheet("", nil, nil) },
		"a long name": func(w *Writer) error {
			return w.Sheet(strings.Repeat("a", 32), nil, nil)
		},
		"a name with a slash": func(w *Writer) error { return w.Sheet("a/b", nil, nil) },
		"two of a name": func(w *Writer) error {
			return errors.Join(w.Sheet("a", nil, nil), w.Sheet("A", nil, nil))
		},
		"a text as a number": func(w *Writer) error {
			return errors.Join(w.Sheet("a", nil, nil), w.Row([]Value{{"x", true}}))
		},
		"no finite number": func(w *Writer) error {
			return errors.Join(w.Sheet("a", nil, nil), w.Row([]Value{{"Inf", true}}))
		},
		"too many columns": func(w *Writer) error {
			return w.Sheet("a", make([]string, lastColumn+1), nil)
		},
	} {
		if err := write(NewWriter(&bytes.Buffer{})); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// failing is a file on a full disk.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestFullDiskIsTold(t *testing.T) {
	w := NewWriter(failing{})
	err := w.Sheet("a", []string{"name"}, nil)
	for range 10_000 {
		err = errors.Join(err, w.Row([]Value{{Text: "Wool"}}))
	}
	if err = errors.Join(err, w.Close()); err == nil || !strings.Contains(err.Error(), "no room") {
		t.Errorf("got %v", err)
	}
}

// The names of the first, the last and the columns about a step (ECMA-376
// ends at XFD, column 16384).
func TestNamesOfColumns(t *testing.T) {
	for n, want := range map[int]string{1: "A", 26: "Z", 27: "AA", 702: "ZZ", 703: "AAA",
		lastColumn: "XFD"} {
		col, row, ok := coordinates(strings.ToLower(want) + "7")
		if columnName(n) != want || !ok || col != n || row != 7 {
			t.Errorf("%d: %s, and %s is column %d of row %d", n, columnName(n), want, col, row)
		}
	}
	for _, bad := range []string{"", "A", "7", "A0", "XFE1", "A1048577", "A-1", "A+1", "A 1",
		"$A$1", "É1"} {
		if col, row, ok := coordinates(bad); ok {
			t.Errorf("%q is column %d of row %d", bad, col, row)
		}
	}
}
