package importers

import (
	"iter"
	"strings"
)

// Kind says what a source knows about the type of a cell.
type Kind uint8

// Kinds of cell. Text files know only KindText.
const (
	KindText    Kind = iota // text as typed
	KindNumber              // a number; Text is a plain decimal with a point
	KindDate                // a date; Text is YYYY-MM-DD
	KindError               // the spreadsheet shows an error such as #REF!
	KindFormula             // a formula whose result is not stored; Text is not empty
)

// Cell is one cell with its place. Row and Col count from 1; Row is the line of
// a text file on which the cell begins, or the row of a sheet. Formula is true
// when Text is the cached result of a formula.
type Cell struct {
	Text     string
	Row, Col int
	Kind     Kind
	Formula  bool
}

// Row is one row of a grid. Cells[i] stands in column i+1. The cells may be
// reused for the next row: a caller who keeps them copies them.
type Row struct {
	Line  int
	Cells []Cell
}

// Grid is what a source delivers. Rows may be ranged over more than once, each
// time from the top. An error that is a *Problem and not Fatal concerns one row,
// and the rows after it still come; any other error is the last thing delivered.
type Grid struct {
	File      string // as named by the caller
	Sheet     string // "" for text files
	Encoding  string // "UTF-8", "Windows-1252" ...; "" for spreadsheets
	Delimiter string // "comma", "semicolon", "tab"; "" for spreadsheets
	Strict    bool   // every row has to have as many cells as the header (RFC 4180 section 2.4)
	Rows      iter.Seq2[Row, error]
}

// blank reports whether no cell of the row holds text.
func (r Row) blank() bool {
	for i := range r.Cells {
		if strings.TrimSpace(r.Cells[i].Text) != "" {
			return false
		}
	}
	return true
}

// clone returns a copy of the row that the source will not reuse.
func (r Row) clone() Row {
	return Row{Line: r.Line, Cells: append([]Cell(nil), r.Cells...)}
}

// Blank reports whether a cell's text says that nothing is recorded: empty, a
// dash, "n/a", "?" or "unknown".
func Blank(text string) bool {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "", "-", "–", "—", "--", "n/a", "na", "?", "??", "unknown", "not known", "tbd":
		return true
	}
	return false
}

// SaysNo says whether all that a cell says is that it is not so.
func SaysNo(text string) bool {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "no", "n", "none", "nobody", "never", "false":
		return true
	}
	return false
}
