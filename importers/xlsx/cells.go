package xlsx

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"

	"endsmeet/importers"
)

// The format's own last row and column (Excel specifications and limits).
const (
	lastRow    = 1_048_576
	lastColumn = 16_384
)

// stored is a cell as the sheet's part has it.
type stored struct {
	col        int
	kind       string // the t attribute: "s", "n", "b", "e", "d", "str", "inlineStr" or ""
	style      int
	formula    bool
	value      bool // a value is stored
	start, end int  // where in the row's text the value is
}

// sheetRows streams the rows of a sheet and holds them to the limits.
type sheetRows struct {
	in    io.ReadCloser
	xml   tokens
	row   int
	cells []stored
	text  []byte // of all cells of the row
}

func openRows(z *zip.Reader, part string, budget *importers.Budget) (*sheetRows, error) {
	f := findPart(z, part)
	if f == nil {
		return nil, broken("the part of the sheet is missing")
	}
	in, err := f.Open()
	if err != nil {
		return nil, broken(err.Error())
	}
	return &sheetRows{in: in, xml: tokens{importers.NewTokens(in, budget)}}, nil
}

func broken(reason string) *importers.Problem {
	return &importers.Problem{Reason: "the sheet is damaged: " + reason,
		Hint: "open it in a spreadsheet program and save it again", Fatal: true}
}

// next reads the next row. ok is false behind the last one.
func (r *sheetRows) next() (ok bool, err error) {
	for {
		token, err := r.xml.Next()
		if errors.Is(err, io.EOF) {
			return false, nil
		}
		if err != nil {
			return false, broken(err.Error())
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "row" {
				return true, r.readRow(e)
			}
		case xml.EndElement:
			if e.Name.Local == "sheetData" {
				return false, r.rest()
			}
		}
	}
}

// rest reads what follows the rows, so that a sheet that is cut off is noticed.
func (r *sheetRows) rest() error {
	for {
		_, err := r.xml.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return broken(err.Error())
		}
	}
}

func (r *sheetRows) readRow(row xml.StartElement) error {
	n := r.row + 1
	if text := attr(row, "r"); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil {
			n = 0
		}
		if n <= r.row {
			return broken(fmt.Sprintf("row %.20q follows row %d", text, r.row))
		}
	}
	if n > lastRow {
		return broken(fmt.Sprintf("it has a row %d, beyond the last that there can be", n))
	}
	r.row, r.cells, r.text = n, r.cells[:0], r.text[:0]
	for {
		token, err := r.xml.Next()
		if err != nil {
			return broken(err.Error())
		}
		switch e := token.(type) {
		case xml.StartElement:
			if err := r.inRow(e); err != nil {
				return err
			}
		case xml.EndElement:
			return nil
		}
	}
}

// inRow reads what is in a row: a cell, or what is of no interest.
func (r *sheetRows) inRow(e xml.StartElement) error {
	if e.Name.Local == "c" {
		return r.readCell(e)
	}
	if err := r.xml.Skip(); err != nil {
		return broken(err.Error())
	}
	return nil
}

func (r *sheetRows) readCell(cell xml.StartElement) error {
	c, err := r.place(cell)
	if err != nil {
		return err
	}
	c.start = len(r.text)
	r.text, err = r.xml.text(r.text, func(name string) {
		c.formula = c.formula || name == "f"
		c.value = c.value || name == "v" || name == "is"
	})
	if err != nil {
		return broken(err.Error())
	}
	c.end = len(r.text)
	if c.col > maxColumn && (c.value || c.formula) {
		return &importers.Problem{Line: r.row, Column: c.col,
			Reason: fmt.Sprintf("more than %d columns", maxColumn),
			Hint:   "copy the columns that are wanted into a sheet of their own", Fatal: true}
	}
	if c.col <= maxColumn {
		r.cells = append(r.cells, c)
	}
	return nil
}

// place reads a cell's own element: where it is, of what kind and style.
func (r *sheetRows) place(cell xml.StartElement) (stored, error) {
	c := stored{col: 1}
	if len(r.cells) > 0 {
		c.col = r.cells[len(r.cells)-1].col + 1
	}
	ref := ""
	for _, a := range cell.Attr {
		switch {
		case a.Name.Space != "":
		case a.Name.Local == "r":
			ref = a.Value
		case a.Name.Local == "t":
			c.kind = a.Value
		case a.Name.Local == "s":
			c.style, _ = strconv.Atoi(a.Value) // without a style it is 0, which shows no date
		}
	}
	if ref != "" {
		col, row, ok := coordinates(ref)
		if !ok || row != r.row || col < c.col {
			return c, broken(fmt.Sprintf("a cell calls itself %.20q in row %d", ref, r.row))
		}
		c.col = col
	}
	return c, nil
}

// coordinates reads the name of a cell such as AB12.
func coordinates(name string) (col, row int, ok bool) {
	i := 0
	for ; i < len(name) && (name[i]|0x20) >= 'a' && (name[i]|0x20) <= 'z'; i++ {
		if col = col*26 + int(name[i]|0x20-'a') + 1; col > lastColumn {
			return 0, 0, false
		}
	}
	n, err := strconv.ParseUint(name[i:], 10, 32)
	return col, int(n), err == nil && col > 0 && n > 0 && n <= lastRow
}
