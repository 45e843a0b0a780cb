package tables

import (
	"errors"
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
	// More tells of rows behind Rows, which nobody holds; nil where there are none.
	More func(tell func(row []string) error) error
}

// Each tells of the rows one after the other.
func (t Table) Each(tell func(row []string) error) error {
	for _, row := range t.Rows {
		if err := tell(row); err != nil {
			return err
		}
	}
	if t.More == nil {
		return nil
	}
	return t.More(tell)
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

// errEnough ends the telling of rows that nobody wants.
var errEnough = errors.New("enough rows")

// Grid gives the table as a grid, to be read as its file would be.
func (t Table) Grid() *importers.Grid {
	g := &importers.Grid{File: t.Name + ".csv"}
	g.Rows = func(yield func(importers.Row, error) bool) {
		line := 0
		err := t.Guarded(func(cells []string) error {
			line++
			row := importers.Row{Line: line}
			for j, text := range cells {
				row.Cells = append(row.Cells, importers.Cell{Text: text, Row: line, Col: j + 1})
			}
			if !yield(row, nil) {
				return errEnough
			}
			return nil
		})
		if err != nil && !errors.Is(err, errEnough) {
			yield(importers.Row{}, err)
		}
	}
	return g
}

// Guarded tells of the table's rows, heading first, safe for a spreadsheet.
func (t Table) Guarded(tell func(row []string) error) error {
	guarded := func(row []string) error {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = Guard(cell)
		}
		return tell(safe)
	}
	if err := guarded(t.Head); err != nil {
		return err
	}
	return t.Each(guarded)
}
