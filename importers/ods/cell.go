package ods

import (
	"encoding/xml"
	"errors"
	"slices"
	"strconv"
	"strings"

	"endsmeet/importers"
)

// cell reads a cell's element to its end.
func (r *run) cell(e xml.StartElement) (importers.Cell, error) {
	text, err := r.text()
	if err != nil {
		return importers.Cell{}, err
	}
	cell := importers.Cell{Text: text, Formula: attr(e, "formula") != ""}
	switch attr(e, "value-type") {
	case "float", "currency", "percentage":
		number(&cell, attr(e, "value"), attr(e, "value-type") == "percentage")
	case "date":
		if day, _, _ := strings.Cut(attr(e, "date-value"), "T"); day != "" {
			cell.Kind, cell.Text = importers.KindDate, day
		}
	case "boolean":
		cell.Text = map[string]string{"true": "yes", "false": "no"}[attr(e, "boolean-value")]
	case "string":
		if s := attr(e, "string-value"); s != "" {
			cell.Text = s
		}
	case "":
		if cell.Formula {
			cell.Kind, cell.Text = importers.KindFormula, "formula"
		}
	}
	if failed(e) || cell.Formula && cell.Kind != importers.KindNumber && isError(text) {
		cell.Kind, cell.Text = importers.KindError, text
	}
	return cell, nil
}

// failed reports whether the program that wrote the cell marks it as an error,
// which common programs do beside the value type of the standard.
func failed(e xml.StartElement) bool {
	return slices.ContainsFunc(e.Attr,
		func(a xml.Attr) bool { return a.Name.Local == "value-type" && a.Value == "error" })
}

// isError knows what programs show for a formula that fails.
func isError(text string) bool {
	return strings.HasPrefix(text, "#") && strings.HasSuffix(text, "!") ||
		strings.HasPrefix(text, "Err:") ||
		text == "#N/A" || text == "#NAME?" || text == "#DIV/0!"
}

// number writes a stored number as a plain decimal; a percentage as percent.
func number(cell *importers.Cell, value string, percent bool) {
	f, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return
	}
	cell.Kind, cell.Text = importers.KindNumber, strconv.FormatFloat(f, 'f', -1, 64)
	if percent {
		cell.Text = strconv.FormatFloat(f*100, 'g', 15, 64)
	}
}

// text collects the paragraphs inside a cell, a line each. Comments, pictures
// and whatever else stands in a cell are passed over.
func (r *run) text() (string, error) {
	var b strings.Builder
	paragraphs := 0
	for {
		token, err := r.Next()
		if err != nil {
			return "", r.cut(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local != "p" {
				if err := r.Skip(); err != nil {
					return "", broken(err)
				}
				continue
			}
			if paragraphs++; paragraphs > 1 {
				b.WriteByte('\n')
			}
			if err := r.paragraph(&b); err != nil {
				return "", err
			}
		case xml.EndElement:
			return b.String(), nil
		}
	}
}

// paragraph collects the text of a paragraph, its spans and links.
func (r *run) paragraph(b *strings.Builder) error {
	for depth := 1; depth > 0; {
		token, err := r.Next()
		if err != nil {
			return r.cut(err)
		}
		switch e := token.(type) {
		case xml.CharData:
			b.Write(e)
		case xml.EndElement:
			depth--
		case xml.StartElement:
			if e.Name.Local == "annotation" {
				if err := r.Skip(); err != nil {
					return broken(err)
				}
				continue
			}
			depth++
			if err := r.special(b, e); err != nil {
				return broken(err)
			}
		}
		if b.Len() > importers.MaxText {
			return broken(errors.New("the text of a cell is longer than a megabyte"))
		}
	}
	return nil
}

// special writes the characters that the format has elements for.
func (r *run) special(b *strings.Builder, e xml.StartElement) error {
	switch e.Name.Local {
	case "s":
		n, err := strconv.Atoi(attr(e, "c"))
		if err != nil {
			n = 1
		}
		n = max(0, min(n, importers.MaxText+1)) // more is refused with the text
		if err := r.Spend(n); err != nil {
			return err
		}
		b.WriteString(strings.Repeat(" ", n))
	case "tab":
		b.WriteByte('\t')
	case "line-break":
		b.WriteByte('\n')
	}
	return nil
}
