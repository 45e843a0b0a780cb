package tables

import (
	"regexp"
	"strings"
	"sync"

	"endsmeet/importers"
)

// Table is a heading and rows of text.
type Table struct {
	Name string
	Head []string
	Rows [][]string
}

func (t *Table) add(cells ...string) { t.Rows = append(t.Rows, cells) }

var plainNumber = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?$`) })

// dangerous says whether a spreadsheet could take a cell for a formula, or an
// apostrophe for its own sign that the cell is text.
func dangerous(cell string) bool {
	return cell != "" && strings.ContainsRune("=+-@\t\r'", rune(cell[0])) &&
		!plainNumber().MatchString(cell)
}

// Guard makes a cell safe for a spreadsheet.
func Guard(cell string) string {
	if dangerous(cell) {
		return "'" + cell
	}
	return cell
}

// Unguard gives back what Guard was given.
func Unguard(cell string) string {
	if rest, ok := strings.CutPrefix(cell, "'"); ok && dangerous(rest) {
		return rest
	}
	return cell
}

// Grid gives the table as a grid, to be read as its file would be.
func (t Table) Grid() *importers.Grid {
	g := &importers.Grid{File: t.Name + ".csv"}
	g.Rows = func(yield func(importers.Row, error) bool) {
		for i, cells := range t.Guarded() {
			row := importers.Row{Line: i + 1}
			for j, text := range cells {
				row.Cells = append(row.Cells, importers.Cell{Text: text, Row: i + 1, Col: j + 1})
			}
			if !yield(row, nil) {
				return
			}
		}
	}
	return g
}

// Guarded gives the table's rows, heading first, safe for a spreadsheet.
func (t Table) Guarded() [][]string {
	out := make([][]string, 0, len(t.Rows)+1)
	for _, row := range append([][]string{t.Head}, t.Rows...) {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = Guard(cell)
		}
		out = append(out, safe)
	}
	return out
}
