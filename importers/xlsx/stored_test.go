package xlsx

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"endsmeet/importers"
)

// withTexts is a workbook with these shared texts and a second row.
func withTexts(t testing.TB, texts, cell string) string {
	return packed(t, `<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>name</t></is></c></row><row r="2">`+cell+`</row></sheetData>`, texts)
}

func TestSharedTexts(t *testing.T) {
	for _, c := range []struct{ name, texts, want string }{
		{"a plain one", `<si><t xml:space="preserve"> Wool </t></si>`, " Wool "},
		{"in runs", `<si><r><rPr><b/></rPr><t>Wo</t></r><r><t xml:space="preserve">ol, </t></r><r><t>grey</t></r></si>`, "Wool, grey"},
		{"how it is read aloud is left out",
			`<si><t>羊毛</t><rPh sb="0" eb="2"><t>ようもう</t></rPh><phoneticPr fontId="1"/></si>`, "羊毛"},
		{"an escaped character", `<si><t>a_x0009_b_x005F_x0041_</t></si>`, "a\tb_x0041_"},
		{"half of a pair stays as it is written", `<si><t>_xD800_</t></si>`, "_xD800_"},
		{"an empty one", `<si/>`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows := allRows(t, withTexts(t, c.texts, `<c r="A2" t="s"><v>0</v></c>`))
			if rows[1][0].Text != c.want {
				t.Errorf("got %q, want %q", rows[1][0].Text, c.want)
			}
		})
	}
	for name, cell := range map[string]string{"beyond the last": `<v>1</v>`,
		"before the first": `<v>-1</v>`, "no number": `<v>x</v>`} {
		t.Run("one that is not there is refused: "+name, func(t *testing.T) {
			g := grid(t, withTexts(t, `<si><t>Wool</t></si>`, `<c r="A2" t="s">`+cell+`</c>`), "")
			var last error
			for _, err := range g.Rows {
				last = err
			}
			if last == nil || !strings.Contains(last.Error(), "in row 2, column 1") {
				t.Errorf("got %v", last)
			}
		})
	}
	t.Run("damaged ones are told", func(t *testing.T) {
		if _, err := Open(withTexts(t, `<si><t>Wool`, ``)); err == nil ||
			!strings.Contains(err.Error(), "shared texts are damaged") {
			t.Errorf("got %v", err)
		}
	})
}

// More shared texts than fit into memory lie in a temporary file, which is gone
// after Close.
func TestManySharedTexts(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	const n = 2000
	text := func(i int) string { return fmt.Sprint(i, strings.Repeat("é", (i*7919)%5000)) }
	var all, cells strings.Builder
	for i := range n {
		all.WriteString(`<si><t>` + text(i) + `</t></si>`)
		fmt.Fprintf(&cells, `</row><row><c t="s"><v>%d</v></c><c t="s"><v>%d</v></c>`, i,
			(i*7919)%n)
	}
	all.WriteString(`<si/>`)
	fmt.Fprintf(&cells, `</row><row><c t="s"><v>%d</v></c>`, n)
	w, err := Open(withTexts(t, all.String(), cells.String()))
	if err != nil {
		t.Fatal(err)
	}
	g, err := w.Grid("")
	if err != nil || w.texts.file == nil || cap(w.texts.held) > 2*inMemory {
		t.Fatalf("%v; in a file: %v", err, w.texts.file)
	}
	seen := 0
	for row, err := range g.Rows {
		if err != nil {
			t.Fatal(err)
		}
		i := row.Line - 3
		if i < 0 || i == n {
			continue
		}
		if seen++; row.Cells[0].Text != text(i) || row.Cells[1].Text != text((i*7919)%n) {
			t.Fatalf("row %d is wrong", row.Line)
		}
	}
	if err := w.Close(); err != nil || seen != n {
		t.Fatalf("%v after %d rows", err, seen)
	}
	if left, err := os.ReadDir(os.Getenv("TMPDIR")); err != nil || len(left) != 0 &&
		strings.HasPrefix(left[0].Name(), "endsmeet-xlsx") {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// Serial numbers and their days. 1, 59, 61 and 2958465 as Excel shows them and
// ECMA-376 part 1, 18.17.4.1 has them; 60 is its 29th of February 1900.
func TestDaysOfSerialNumbers(t *testing.T) {
	for _, c := range []struct {
		number float64
		mac    bool
		want   string
	}{
		{1, false, "1900-01-01"}, {59, false, "1900-02-28"}, {60, false, ""},
		{61, false, "1900-03-01"},
		{45000, false, "2023-03-15"}, {45000.99, false, "2023-03-15"},
		{45000.9999999, false, "2023-03-16"},
		{2958465, false, "9999-12-31"}, {2958466, false, ""}, {-1, false, ""},
		{0, true, "1904-01-01"}, {45000 - 1462, true, "2023-03-15"},
	} {
		day, ok := dateOf(c.number, c.mac)
		got := day.Format(time.DateOnly)
		if !ok {
			got = ""
		}
		if got != c.want {
			t.Errorf("%v, from 1904 %v: %q, want %q", c.number, c.mac, got, c.want)
		}
	}
}

// The workbooks of testdata/sheets were stored by excelize 2.11.
func TestWorkbookThatCountsFrom1904(t *testing.T) {
	if cell := allRows(t, kept("from-1904.xlsx"))[0][0]; cell.Kind != importers.KindDate ||
		cell.Text != "2023-03-15" {
		t.Errorf("got %+v", cell)
	}
}

func TestEndlessElementsAreRefused(t *testing.T) {
	long := strings.Repeat("x", importers.MaxText+1)
	for name, rows := range map[string]string{
		"the text of a cell": `<row><c t="str"><v>` + long + `</v></c></row>`,
		"a text in runs": `<row><c t="inlineStr"><is>` +
			strings.Repeat(`<r><t>`+long[:importers.MaxText/4]+`</t></r>`, 5) + `</is></c></row>`,
		"an attribute": `<row><c t="` + strings.Repeat(long, 5) + `"/></row>`,
		"a comment":    `<!--` + strings.Repeat(long, 5) + `-->`,
	} {
		t.Run(name, func(t *testing.T) {
			g := grid(t, sheetOf(t, `<sheetData>`+rows+`</sheetData>`), "")
			var last error
			for _, err := range g.Rows {
				last = err
			}
			if last == nil || !strings.Contains(last.Error(), importers.ErrTooLong.Error()) {
				t.Errorf("got %v", last)
			}
		})
	}
}
