package xlsx

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"

	"endsmeet/importers"
)

// mark is what a cell's element says about its value, which excelize's rows
// leave out.
type mark struct {
	col     int
	kind    string // the t attribute: "s", "n", "b", "e", "d", "str", "inlineStr" or ""
	style   int
	formula bool
	value   bool // a value is stored
}

// marks streams the marks of a sheet, row by row, and holds the sheet to the
// limits before excelize sees the row.
type marks struct {
	in    io.ReadCloser
	xml   *xml.Decoder
	row   int
	cells []mark
}

func openMarks(z *zip.Reader, part string) (*marks, error) {
	f := findPart(z, part)
	if f == nil {
		return nil, broken("the part of the sheet is missing")
	}
	in, err := f.Open()
	if err != nil {
		return nil, broken(err.Error())
	}
	return &marks{in: in, xml: xml.NewDecoder(in)}, nil
}

func broken(reason string) *importers.Problem {
	return &importers.Problem{Reason: "the sheet is damaged: " + reason, Hint: "open it in a spreadsheet program and save it again", Fatal: true}
}

// next reads the marks of the next row. ok is false behind the last one.
func (m *marks) next() (ok bool, err error) {
	for {
		token, err := m.xml.Token()
		if errors.Is(err, io.EOF) {
			return false, nil
		}
		if err != nil {
			return false, broken(err.Error())
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "row" {
				return true, m.readRow(e)
			}
		case xml.EndElement:
			if e.Name.Local == "sheetData" {
				return false, m.rest()
			}
		}
	}
}

// rest reads what follows the rows, so that a sheet that is cut off is noticed.
func (m *marks) rest() error {
	for {
		_, err := m.xml.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return broken(err.Error())
		}
	}
}

func (m *marks) readRow(row xml.StartElement) error {
	n := m.row + 1
	if text := attr(row, "r"); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil || n <= m.row || n > excelize.TotalRows {
			return broken(fmt.Sprintf("row %.20q follows row %d", text, m.row))
		}
	}
	m.row, m.cells = n, m.cells[:0]
	for {
		token, err := m.xml.Token()
		if err != nil {
			return broken(err.Error())
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local != "c" {
				if err := m.xml.Skip(); err != nil {
					return broken(err.Error())
				}
				continue
			}
			if err := m.readCell(e); err != nil {
				return err
			}
		case xml.EndElement:
			return nil
		}
	}
}

func (m *marks) readCell(cell xml.StartElement) error {
	c := mark{col: 1, kind: attr(cell, "t")}
	if len(m.cells) > 0 {
		c.col = m.cells[len(m.cells)-1].col + 1
	}
	if ref := attr(cell, "r"); ref != "" {
		col, row, err := excelize.CellNameToCoordinates(ref)
		if err != nil || row != m.row || col < c.col {
			return broken(fmt.Sprintf("a cell calls itself %.20q in row %d", ref, m.row))
		}
		c.col = col
	}
	c.style, _ = strconv.Atoi(attr(cell, "s")) // without a style it is 0, which shows no date
	if err := m.readInside(&c); err != nil {
		return err
	}
	if c.col > maxColumn && (c.value || c.formula) {
		return &importers.Problem{Line: m.row, Column: c.col, Reason: fmt.Sprintf("more than %d columns", maxColumn), Hint: "copy the columns that are wanted into a sheet of their own", Fatal: true}
	}
	m.cells = append(m.cells, c)
	return nil
}

// readInside looks for a formula and a value inside a cell.
func (m *marks) readInside(c *mark) error {
	for depth := 1; depth > 0; {
		token, err := m.xml.Token()
		if err != nil {
			return broken(err.Error())
		}
		switch e := token.(type) {
		case xml.StartElement:
			depth++
			c.formula = c.formula || e.Name.Local == "f"
			c.value = c.value || e.Name.Local == "v" || e.Name.Local == "is"
		case xml.EndElement:
			depth--
		}
	}
	return nil
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}
