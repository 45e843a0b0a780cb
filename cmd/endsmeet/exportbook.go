package main

import (
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/tables"
	"endsmeet/importers/xlsx"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// exportBook writes a workbook: a sheet to read of what there is, then the
// tables. Every text is stored as a text, so that nothing in it is a formula.
func exportBook(k *call, tx *sqlite.Tx, w io.Writer) error {
	all, err := stashTables(tx, k.Bool("with-private"))
	if err != nil {
		return err
	}
	first, err := k.stashSheet(tx)
	if err != nil {
		return err
	}
	book := xlsx.NewWriter(w)
	for _, t := range append([]tables.Table{first}, all...) {
		if err := writeSheet(book, t); err != nil {
			return err
		}
	}
	return book.Close()
}

// measuredRows is how many rows of a table say how wide its columns are.
const measuredRows = 200

// writeSheet writes a table as a sheet.
func writeSheet(book *xlsx.Writer, t tables.Table) error {
	first := [][]string{t.Head}
	begin := func() error { return beginSheet(book, t, first) }
	err := t.Each(func(row []string) error {
		if len(first) <= measuredRows {
			first = append(first, row)
			return nil
		}
		if begin != nil {
			if err := begin(); err != nil {
				return err
			}
			begin = nil
		}
		return writeRow(book, t.Head, row)
	})
	if err == nil && begin != nil {
		err = begin()
	}
	return err
}

// beginSheet begins a sheet with its heading and its first rows.
func beginSheet(book *xlsx.Writer, t tables.Table, first [][]string) error {
	widths := make([]int, len(t.Head))
	for i := range t.Head {
		widths[i] = columnWidth(first, i)
	}
	if err := book.Sheet(t.Name, t.Head, widths); err != nil {
		return err
	}
	for _, row := range first[1:] {
		if err := writeRow(book, t.Head, row); err != nil {
			return err
		}
	}
	return nil
}

func writeRow(book *xlsx.Writer, head, row []string) error {
	cells := make([]xlsx.Value, len(row))
	for i, text := range row {
		cells[i] = bookCell(text, head[i])
	}
	return book.Row(cells)
}

// mostCell is how long a cell of a workbook may be (Excel specifications and
// limits).
const mostCell = 32767

// bookCell is a number in a column of quantities, else a text.
func bookCell(text, head string) xlsx.Value {
	quantity := strings.HasSuffix(head, "_g") || strings.HasSuffix(head, "_m") ||
		strings.HasSuffix(head, " g") || strings.HasSuffix(head, " m")
	if n, err := strconv.ParseFloat(text, 64); err == nil && quantity && !math.IsNaN(n) &&
		!math.IsInf(n, 0) {
		return xlsx.Value{Text: text, Number: true}
	}
	return xlsx.Value{Text: show.Cut(text, mostCell)}
}

// columnWidth is how wide a column is, in characters, within reason.
func columnWidth(rows [][]string, i int) int {
	width := 0
	for _, row := range rows {
		width = max(width, utf8.RuneCountInString(row[i]))
	}
	return min(max(width+2, 6), 40)
}

// stashSheet is the list of packages as `list` shows it, with what the shelf
// label says.
func (k *call) stashSheet(tx *sqlite.Tx) (tables.Table, error) {
	s, err := newShelf(tx)
	if err != nil {
		return tables.Table{}, err
	}
	return tables.Table{Name: "stash", Head: []string{"tag", "yarn", "colour", "form", "lot", "bin",
		"state", "fibre", "count", "net g", "available g", "length m", "give or take m", "flags",
		"note"}, More: func(tell func([]string) error) error {
		return tx.EachPackage(true, func(p stash.Package) error {
			if p.Yarn == "" {
				return nil
			}
			return tell(bookRow(s.item(p)))
		})
	}}, nil
}

func bookRow(it show.Item) []string {
	row := []string{it.Tag, it.Yarn, it.Pack.Colour, string(it.Pack.Form), it.Pack.Lot, it.Pack.Bin,
		it.State, it.Facts.Fibre.String(), "", "", "", "", "", strings.Join(it.Flags, ", "),
		it.Pack.Note}
	if c := it.Recorded.Count; c != nil {
		row[8] = c.Written
		if row[8] == "" {
			row[8] = c.Count.String()
		}
	}
	thousandths := func(n int64) string { return strconv.FormatFloat(float64(n)/1000, 'f', -1, 64) }
	if it.Amount.Known {
		row[9], row[10] = thousandths(int64(it.Amount.Net)), thousandths(int64(it.Amount.Available))
	}
	if it.Amount.LengthKnown {
		row[11], row[12] = thousandths(int64(it.Amount.Length)),
			thousandths(int64(it.Amount.High-it.Amount.Length))
	}
	return row
}
