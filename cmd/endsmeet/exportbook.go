package main

import (
	"io"
	"math"
	"strconv"
	"strings"

	"endsmeet/importers/tables"
	"endsmeet/importers/xlsx"
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

// writeSheet writes a table as a sheet.
func writeSheet(book *xlsx.Writer, t tables.Table) error {
	widths := make([]int, len(t.Head))
	for i := range t.Head {
		widths[i] = columnWidth(t, i)
	}
	if err := book.Sheet(t.Name, t.Head, widths); err != nil {
		return err
	}
	for _, row := range t.Rows {
		cells := make([]xlsx.Value, len(row))
		for i, text := range row {
			cells[i] = bookCell(text, t.Head[i])
		}
		if err := book.Row(cells); err != nil {
			return err
		}
	}
	return nil
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
	return xlsx.Value{Text: cut(text, mostCell)}
}

// columnWidth is how wide a column is, in characters, within reason.
func columnWidth(t tables.Table, i int) int {
	width := len([]rune(t.Head[i]))
	for _, row := range t.Rows[:min(len(t.Rows), 200)] {
		width = max(width, len([]rune(row[i])))
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
	packages, err := tx.Packages(true)
	if err != nil {
		return tables.Table{}, err
	}
	t := tables.Table{Name: "stash", Head: []string{"tag", "yarn", "colour", "form", "lot", "bin",
		"state", "fibre", "count", "net g", "available g", "length m", "give or take m", "flags",
		"note"}}
	for _, p := range packages {
		if it := s.item(p); p.Yarn != "" {
			t.Rows = append(t.Rows, bookRow(it))
		}
	}
	return t, nil
}

func bookRow(it item) []string {
	row := []string{it.Tag, it.Yarn, it.pack.Colour, string(it.pack.Form), it.pack.Lot, it.pack.Bin,
		it.State, it.facts.Fibre.String(), "", "", "", "", "", strings.Join(it.Flags, ", "),
		it.pack.Note}
	if c := it.recorded.Count; c != nil {
		row[8] = c.Written
		if row[8] == "" {
			row[8] = c.Count.String()
		}
	}
	thousandths := func(n int64) string { return strconv.FormatFloat(float64(n)/1000, 'f', -1, 64) }
	if it.amount.Known {
		row[9], row[10] = thousandths(int64(it.amount.Net)), thousandths(int64(it.amount.Available))
	}
	if it.amount.LengthKnown {
		row[11], row[12] = thousandths(int64(it.amount.Length)),
			thousandths(int64(it.amount.High-it.amount.Length))
	}
	return row
}
