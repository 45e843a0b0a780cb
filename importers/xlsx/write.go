package xlsx

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf16"
)

// Value is what a cell is given: a text, or a number as a plain decimal.
type Value struct {
	Text   string
	Number bool
}

// Writer writes a workbook sheet by sheet and row by row; nothing of it is kept
// in memory. Every text is stored as a text, so that nothing in it is ever a
// formula.
type Writer struct {
	zip   *zip.Writer
	out   *bufio.Writer // the sheet that is being written; nil before the first
	names []string      // of the sheets
	row   int           // the last one of the sheet
}

// NewWriter returns a writer of a workbook. Close ends the workbook, not w.
func NewWriter(w io.Writer) *Writer { return &Writer{zip: zip.NewWriter(w)} }

// longestName is how long the name of a sheet may be, in UTF-16 units (Excel
// specifications and limits).
const longestName = 31

// Sheet begins a sheet: its name, the headings of its columns, which are bold
// and stay in sight, and the widths of the columns in characters. It fails for
// a name that a sheet cannot have or another has.
func (w *Writer) Sheet(name string, headings []string, widths []int) error {
	if err := w.checkName(name); err != nil {
		return err
	}
	if err := w.endSheet(); err != nil {
		return err
	}
	w.names = append(w.names, name)
	part, err := w.zip.Create(fmt.Sprintf("xl/worksheets/sheet%d.xml", len(w.names)))
	if err != nil {
		return err
	}
	w.out, w.row = bufio.NewWriterSize(part, 32<<10), 0
	fmt.Fprint(w.out, xml.Header, `<worksheet xmlns="`, mainSpace,
		`"><sheetViews><sheetView workbookViewId="0">`,
		`<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews>`)
	if len(widths) > 0 {
		fmt.Fprint(w.out, `<cols>`)
		for i, width := range widths {
			fmt.Fprintf(w.out, `<col min="%d" max="%d" width="%d" customWidth="1"/>`, i+1, i+1,
				width)
		}
		fmt.Fprint(w.out, `</cols>`)
	}
	fmt.Fprint(w.out, `<sheetData>`)
	first := make([]Value, len(headings))
	for i, text := range headings {
		first[i].Text = text
	}
	return w.write(first, ` s="1"`)
}

func (w *Writer) checkName(name string) error {
	if name == "" || len(utf16.Encode([]rune(name))) > longestName ||
		strings.ContainsAny(name, `[]:*?/\`) || strings.Trim(name, "'") != name {
		return fmt.Errorf("a sheet cannot be named %q", name)
	}
	for _, other := range w.names {
		if strings.EqualFold(other, name) {
			return fmt.Errorf("two sheets are named %q", name)
		}
	}
	return nil
}

// Row writes the next row of the sheet that Sheet began. A number is refused
// unless it is a finite decimal.
func (w *Writer) Row(cells []Value) error {
	if w.out == nil {
		return errors.New("a row before the first sheet")
	}
	return w.write(cells, "")
}

// write writes a row; style is the attribute of its cells.
func (w *Writer) write(cells []Value, style string) error {
	w.row++
	if w.row > lastRow || len(cells) > lastColumn {
		return fmt.Errorf("row %d of %d cells is beyond the edge of a sheet", w.row, len(cells))
	}
	fmt.Fprintf(w.out, `<row r="%d">`, w.row)
	for i, c := range cells {
		switch {
		case c.Number:
			f, err := strconv.ParseFloat(c.Text, 64)
			if err != nil || f-f != 0 {
				return fmt.Errorf("%.40q in row %d, column %d is no number", c.Text, w.row, i+1)
			}
			fmt.Fprintf(w.out, `<c r="%s%d"%s><v>%s</v></c>`, columnName(i+1), w.row, style,
				strconv.FormatFloat(f, 'g', -1, 64))
		case c.Text != "":
			fmt.Fprintf(w.out, `<c r="%s%d"%s t="inlineStr"><is><t xml:space="preserve">`,
				columnName(i+1), w.row, style)
			if err := xml.EscapeText(w.out, []byte(escape(c.Text))); err != nil {
				return err
			}
			fmt.Fprint(w.out, `</t></is></c>`)
		}
	}
	_, err := w.out.WriteString(`</row>`) // the buffer keeps the first error
	return err
}

func (w *Writer) endSheet() error {
	if w.out == nil {
		return nil
	}
	fmt.Fprint(w.out, `</sheetData></worksheet>`)
	return w.out.Flush()
}

// Close ends the last sheet and the workbook. It fails without a sheet.
func (w *Writer) Close() error {
	if len(w.names) == 0 {
		return errors.New("a workbook without a sheet")
	}
	if err := w.endSheet(); err != nil {
		return err
	}
	if err := w.writeParts(); err != nil {
		return err
	}
	return w.zip.Close()
}

// columnName is the letters of a column, counted from 1.
func columnName(n int) string {
	var letters []byte
	for ; n > 0; n = (n - 1) / 26 {
		letters = append([]byte{byte('A' + (n-1)%26)}, letters...)
	}
	return string(letters)
}
