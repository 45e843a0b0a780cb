package xlsx

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"endsmeet/importers"
)

// rows delivers the rows of a sheet: values from excelize, and beside them what
// the cells' elements say about the values.
func (w *Workbook) rows(s sheet, yield func(importers.Row, error) bool) {
	m, err := openMarks(&w.zip.Reader, s.part)
	if err != nil {
		yield(importers.Row{}, importers.Locate(err, w.path, s.name))
		return
	}
	defer m.in.Close()
	values, err := w.file.Rows(s.name)
	if err != nil {
		yield(importers.Row{}, importers.Locate(broken(err.Error()), w.path, s.name))
		return
	}
	defer values.Close()
	run := &run{w: w, values: values}
	for {
		ok, err := m.next()
		if err != nil {
			yield(importers.Row{}, importers.Locate(err, w.path, s.name))
			return
		}
		if !ok {
			return
		}
		row, err := run.row(m)
		if err != nil {
			yield(importers.Row{}, importers.Locate(broken(err.Error()), w.path, s.name))
			return
		}
		if len(row.Cells) > 0 && !yield(row, nil) {
			return
		}
	}
}

// run is one run over a sheet.
type run struct {
	w      *Workbook
	values *excelize.Rows
	at     int // the row that values stands on
	cells  []importers.Cell
}

// row joins the values of the row that m stands on with their marks.
func (r *run) row(m *marks) (importers.Row, error) {
	var texts []string
	for r.at < m.row {
		if !r.values.Next() {
			return importers.Row{}, errors.Join(errors.New("its rows can't be read"), r.values.Error())
		}
		var err error
		if texts, err = r.values.Columns(); err != nil {
			return importers.Row{}, err
		}
		r.at++
	}
	r.cells = r.cells[:0]
	for _, c := range m.cells {
		if c.col > maxColumn {
			continue
		}
		for len(r.cells) < c.col-1 {
			r.cells = append(r.cells, importers.Cell{Row: m.row, Col: len(r.cells) + 1})
		}
		text := ""
		if c.col <= len(texts) {
			text = texts[c.col-1]
		}
		r.cells = append(r.cells, r.w.cell(c, m.row, text))
	}
	return importers.Row{Line: m.row, Cells: r.cells}, nil
}

// cell makes a cell of its stored text and its mark.
func (w *Workbook) cell(c mark, row int, text string) importers.Cell {
	cell := importers.Cell{Text: text, Row: row, Col: c.col, Formula: c.formula}
	switch {
	case c.formula && !c.value:
		cell.Kind, cell.Text = importers.KindFormula, "formula"
	case text == "":
	case c.kind == "e":
		cell.Kind = importers.KindError
	case c.kind == "b":
		cell.Text = map[string]string{"1": "yes", "0": "no", "TRUE": "yes", "FALSE": "no"}[text]
	case c.kind == "d":
		cell.Kind = importers.KindDate
		cell.Text, _, _ = strings.Cut(text, "T")
	case c.kind == "" || c.kind == "n":
		w.number(&cell, c.style)
	}
	return cell
}

// number writes a stored number as a plain decimal; as a date or as percent if
// its style shows that.
func (w *Workbook) number(cell *importers.Cell, style int) {
	f, err := strconv.ParseFloat(cell.Text, 64)
	if err != nil {
		return
	}
	cell.Kind = importers.KindNumber
	cell.Text = strconv.FormatFloat(f, 'f', -1, 64)
	switch w.shown(style) {
	case asPercent:
		cell.Text = strconv.FormatFloat(f*100, 'g', 15, 64)
	case asDate:
		if at, err := excelize.ExcelDateToTime(f, w.mac); err == nil {
			cell.Kind, cell.Text = importers.KindDate, at.Format(time.DateOnly)
		}
	}
}

// shape is how a style shows a number.
type shape uint8

const (
	asNumber shape = iota
	asDate
	asPercent
)

// shown returns how a style shows numbers.
func (w *Workbook) shown(style int) shape {
	if style == 0 {
		return asNumber
	}
	known, ok := w.styles[style]
	if ok {
		return known
	}
	how := asNumber
	if s, err := w.file.GetStyle(style); err == nil {
		how = builtIn(s.NumFmt)
		if s.CustomNumFmt != nil {
			how = custom(*s.CustomNumFmt)
		}
	}
	w.styles[style] = how
	return how
}

// builtIn knows the built-in formats (ECMA-376 part 1, 18.8.30): 9 and 10 are
// percent; 14 to 17, 22 and some of the East Asian languages show a day.
func builtIn(id int) shape {
	switch {
	case id == 9 || id == 10:
		return asPercent
	case id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 31 || id == 36 || id >= 50 && id <= 54 || id == 57 || id == 58:
		return asDate
	}
	return asNumber
}

// custom reads a format code: outside text in quotation marks, escapes and
// brackets a d or a y shows a date, and a percent sign percent.
func custom(code string) shape {
	quoted, bracket, escaped := false, false, false
	for _, c := range strings.ToLower(code) {
		switch {
		case escaped:
			escaped = false
		case c == '\\' || c == '_' || c == '*':
			escaped = true
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '[':
			bracket = true
		case c == ']':
			bracket = false
		case !bracket && (c == 'd' || c == 'y'):
			return asDate
		case !bracket && c == '%':
			return asPercent
		}
	}
	return asNumber
}
