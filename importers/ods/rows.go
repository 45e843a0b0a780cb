package ods

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"

	"endsmeet/importers"
)

// rows delivers the rows of table number want.
func (s *Spreadsheet) rows(want int, yield func(importers.Row, error) bool) {
	c, err := s.content()
	if err != nil {
		yield(importers.Row{}, importers.Locate(err, s.path, s.tables[want].Name))
		return
	}
	defer c.in.Close()
	r := &run{content: c, yield: yield}
	err = r.find(want)
	if err == nil {
		err = r.table()
	}
	if err != nil && !r.stopped {
		yield(importers.Row{}, importers.Locate(err, s.path, s.tables[want].Name))
	}
}

// run is one run over a table.
type run struct {
	*content
	yield   func(importers.Row, error) bool
	line    int // of the last row delivered or passed over
	cells   []importers.Cell
	stopped bool // by the caller
}

// errStopped ends a run that the caller has left.
var errStopped = errors.New("stopped")

// find moves to the start of table number want; tables inside tables don't count.
func (r *run) find(want int) error {
	for n := -1; ; {
		token, err := r.Next()
		if err != nil {
			return broken(err)
		}
		e, ok := token.(xml.StartElement)
		if !ok || e.Name.Local != "table" {
			continue
		}
		if n++; n == want {
			return nil
		}
		if err := r.Skip(); err != nil {
			return broken(err)
		}
	}
}

// table reads the rows until the end of the table. Groups of rows and header
// rows are looked into.
func (r *run) table() error {
	for depth := 1; depth > 0; {
		token, err := r.Next()
		if err != nil {
			return r.cut(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			depth++
			switch e.Name.Local {
			case "table-row":
				depth--
				if err := r.row(e); err != nil {
					return err
				}
			case "table-rows", "table-row-group", "table-header-rows":
			default:
				depth--
				if err := r.Skip(); err != nil {
					return broken(err)
				}
			}
		case xml.EndElement:
			depth--
		}
	}
	return nil
}

// cut tells the end of the file inside a table from other damage.
func (r *run) cut(err error) error {
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	return broken(err)
}

// repeats reads a number of repetitions, 1 if there is none.
func repeats(e xml.StartElement, name string, most int) (int, error) {
	text := attr(e, name)
	if text == "" {
		return 1, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > most {
		return 0, broken(fmt.Errorf("%s is %.20q", name, text))
	}
	return n, nil
}

// row reads one row and delivers it as often as it is repeated.
func (r *run) row(e xml.StartElement) error {
	times, err := repeats(e, "number-rows-repeated", maxRow)
	if err != nil {
		return err
	}
	if err := r.readCells(); err != nil {
		return err
	}
	if len(r.cells) == 0 {
		if r.line += times; r.line > maxRow {
			return broken(fmt.Errorf("more than %d rows", maxRow))
		}
		return nil
	}
	if times > maxRepeats {
		return &importers.Problem{Line: r.line + 1,
			Reason: fmt.Sprintf("a row with text is repeated %d times", times),
			Hint:   "clear the rows below the table, and save again", Fatal: true}
	}
	for i := range times {
		if i > 0 {
			if err := r.again(r.cells...); err != nil {
				return err
			}
		}
		r.line++
		for i := range r.cells {
			r.cells[i].Row = r.line
		}
		if !r.yield(importers.Row{Line: r.line, Cells: r.cells}, nil) {
			r.stopped = true
			return errStopped
		}
	}
	return nil
}

// readCells reads the cells up to the last one with text.
func (r *run) readCells() error {
	r.cells = r.cells[:0]
	col := 1 // of the next cell
	for {
		token, err := r.Next()
		if err != nil {
			return r.cut(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			times, err := repeats(e, "number-columns-repeated", maxSheet)
			if err != nil {
				return err
			}
			cell, err := r.cell(e)
			if err != nil {
				return err
			}
			if cell.Text != "" {
				if err := r.put(cell, col, times); err != nil {
					return err
				}
			}
			col = min(col+times, maxSheet)
		case xml.EndElement:
			return nil
		}
	}
}

// put sets a cell as often as it is repeated, empty ones before it filled in.
func (r *run) put(cell importers.Cell, col, times int) error {
	if col+times-1 > maxColumn {
		return &importers.Problem{Line: r.line + 1, Column: col,
			Reason: fmt.Sprintf("more than %d columns with text", maxColumn),
			Hint:   "copy the columns that are wanted into a sheet of their own", Fatal: true}
	}
	for len(r.cells) < col-1 {
		r.cells = append(r.cells, importers.Cell{Col: len(r.cells) + 1})
	}
	for i := range times {
		if i > 0 {
			if err := r.again(cell); err != nil {
				return err
			}
		}
		cell.Col = len(r.cells) + 1
		r.cells = append(r.cells, cell)
	}
	return nil
}

// cellWork is what a cell costs beside its text, after it is read.
const cellWork = 40

// again takes the work of cells that are delivered again off the budget.
func (r *run) again(cells ...importers.Cell) error {
	work := 0
	for _, c := range cells {
		work += cellWork + len(c.Text)
	}
	if err := r.Spend(work); err != nil {
		return broken(err)
	}
	return nil
}
