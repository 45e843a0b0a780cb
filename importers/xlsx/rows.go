package xlsx

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"endsmeet/importers"
)

// rows delivers the rows of a sheet.
func (w *Workbook) rows(n int, yield func(importers.Row, error) bool) {
	s := w.sheets[n]
	in, err := openRows(&w.zip.Reader, s.Part, w.budget)
	if err != nil {
		yield(importers.Row{}, importers.Locate(err, w.path, s.Name))
		return
	}
	defer in.in.Close()
	var cells []importers.Cell
	for {
		ok, err := in.next()
		if ok && err == nil {
			cells, err = w.row(in, cells[:0])
		}
		if err != nil {
			yield(importers.Row{}, importers.Locate(err, w.path, s.Name))
			return
		}
		if !ok {
			return
		}
		if len(cells) > 0 && !yield(importers.Row{Line: in.row, Cells: cells}, nil) {
			return
		}
	}
}

// row makes the cells of a row, those that are left out too.
func (w *Workbook) row(in *sheetRows, cells []importers.Cell) ([]importers.Cell, error) {
	for _, c := range in.cells {
		for len(cells) < c.col-1 {
			cells = append(cells, importers.Cell{Row: in.row, Col: len(cells) + 1})
		}
		text, err := w.text(c, in.text[c.start:c.end])
		if err != nil {
			return cells, broken(fmt.Sprintf("in row %d, column %d: %v", in.row, c.col, err))
		}
		cells = append(cells, w.cell(c, in.row, text))
	}
	return cells, nil
}

// text is the text that a cell stores, or that it shares with others.
func (w *Workbook) text(c stored, own []byte) (string, error) {
	if c.kind != "s" || len(own) == 0 {
		return unescape(own), nil
	}
	i, err := strconv.Atoi(strings.TrimSpace(string(own)))
	if err != nil {
		return "", fmt.Errorf("text number %.20q", own)
	}
	if w.texts == nil {
		return "", errors.New("a shared text, and there are none")
	}
	shared, err := w.texts.at(i)
	if err == nil {
		err = w.budget.Spend(len(shared))
	}
	return unescape(shared), err
}

// cell makes a cell of its stored text.
func (w *Workbook) cell(c stored, row int, text string) importers.Cell {
	cell := importers.Cell{Text: text, Row: row, Col: c.col, Formula: c.formula}
	switch {
	case c.formula && !c.value:
		cell.Kind, cell.Text = importers.KindFormula, "formula"
	case text == "":
	case c.kind == "e":
		cell.Kind = importers.KindError
	case c.kind == "b":
		cell.Text = map[string]string{"1": "yes", "0": "no", "TRUE": "yes", "FALSE": "no",
			"true": "yes", "false": "no"}[text]
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
	f, err := strconv.ParseFloat(strings.TrimSpace(cell.Text), 64)
	if err != nil {
		return
	}
	cell.Kind = importers.KindNumber
	cell.Text = strconv.FormatFloat(f, 'f', -1, 64)
	switch w.shown(style) {
	case asPercent:
		cell.Text = strconv.FormatFloat(f*100, 'g', 15, 64)
	case asDate:
		if at, ok := dateOf(f, w.from1904); ok {
			cell.Kind, cell.Text = importers.KindDate, at.Format(time.DateOnly)
		}
	}
}

// shown returns how a style shows numbers.
func (w *Workbook) shown(style int) shape {
	if style <= 0 || style >= len(w.styles) {
		return asNumber
	}
	return w.styles[style]
}
