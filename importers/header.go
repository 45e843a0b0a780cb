package importers

import (
	"fmt"
	"strings"

	"endsmeet/stash/written"
)

// headRows is within how many rows the header has to stand.
const headRows = 30

// head is what the first rows of a grid are found to be.
type head struct {
	cells []Cell // the header, with the words of a second header row put in
	line  int    // of the header
	first int    // first line that can hold a yarn
	notes []string
}

// findHeader looks for the row, among the first ones, that names most fields;
// of equals the first. Titles and merged cells above it are passed over with a
// note. A header of two rows becomes one: group titles straight above are put
// before the headings that make sense only with them, and headings or units
// straight below are put in their place.
func findHeader(rows []Row, m Mapping) (head, bool) {
	best, score := -1, 0
	for i, row := range rows {
		if n := headerScore(row.Cells, m); n > score {
			best, score = i, n
		}
	}
	if best < 0 {
		return head{}, false
	}
	h := head{cells: rows[best].Cells, line: rows[best].Line, first: rows[best].Line + 1}
	for _, row := range rows[:best] {
		if !row.blank() {
			h.notes = append(h.notes, fmt.Sprintf("line %d above the header is passed over: %s",
				row.Line, quote(rowText(row))))
		}
	}
	if best > 0 {
		h.groups(rows[best-1])
	}
	if best+1 < len(rows) {
		h.below(rows[best+1], m)
	}
	return h, true
}

// headerScore counts the different fields that a row's cells name.
func headerScore(cells []Cell, m Mapping) int {
	seen := make(map[Field]bool)
	for _, c := range cells {
		if c.Kind != KindText || len(c.Text) > 60 {
			continue
		}
		if column := matchHeading(c.Col, c.Text, m); column.Field != "" {
			seen[column.Field] = true
		}
	}
	return len(seen)
}

func rowText(row Row) string {
	var parts []string
	for _, c := range row.Cells {
		if t := strings.TrimSpace(c.Text); t != "" {
			parts = append(parts, t)
		}
	}
	return strings.Join(parts, " | ")
}

// groups joins the header with the row above it. A group's title ("Label" over
// "length" and "mass") goes before a heading where the two together name a
// field; a cell of the header that is empty takes the one above it.
func (h *head) groups(above Row) {
	cells := append([]Cell(nil), h.cells...)
	titles := spread(above, len(cells))
	for i, c := range cells {
		own := ""
		if i < len(above.Cells) {
			own = strings.TrimSpace(above.Cells[i].Text)
		}
		switch text := strings.TrimSpace(c.Text); {
		case text == "":
			cells[i].Text = own
		case titles[i] != "":
			if both := titles[i] + " " + text; matchHeading(c.Col, both, Mapping{}).Field != "" {
				cells[i].Text = both
			}
		}
	}
	h.cells = cells
}

// spread returns a row's texts with each empty cell given the text to its left,
// as a merged cell shows it, for n columns.
func spread(row Row, n int) []string {
	titles := make([]string, n)
	title := ""
	for i := range titles {
		if i < len(row.Cells) {
			if t := strings.TrimSpace(row.Cells[i].Text); t != "" {
				title = t
			}
		}
		titles[i] = title
	}
	return titles
}

// below takes the row below the header for a part of it when every cell that
// is not empty is a unit ("g", "(yd)") or a heading of its own.
func (h *head) below(row Row, m Mapping) {
	cells := append([]Cell(nil), h.cells...)
	titles := spread(Row{Cells: h.cells}, max(len(cells), len(row.Cells)))
	found := false
	for i, c := range row.Cells {
		w := words(c.Text)
		if w == "" {
			continue
		}
		for len(cells) <= i {
			cells = append(cells, Cell{Row: h.line, Col: len(cells) + 1})
		}
		text, ok := belowText(titles[i], c, m)
		if !ok {
			return
		}
		cells[i].Text, found = text, true
	}
	if found {
		h.cells, h.first = cells, row.Line+1
		h.notes = append(h.notes, fmt.Sprintf("line %d is taken for a second row of the header",
			row.Line))
	}
}

// belowText joins a heading and the cell below it: a unit goes behind it, a
// heading of its own in its place or, where that names a field, behind it.
func belowText(title string, c Cell, m Mapping) (string, bool) {
	w := words(c.Text)
	_, basis, currency := written.SplitBasis(w)
	if _, unit := headingUnits[w]; unit && title != "" || basis != "" || currency != "" {
		return title + " (" + strings.Trim(strings.TrimSpace(c.Text), "()[]") + ")", true
	}
	if both := title + " " + strings.TrimSpace(c.Text); matchHeading(c.Col, both, m).Field != "" {
		return both, true
	}
	return c.Text, c.Kind == KindText && matchHeading(c.Col, c.Text, m).Field != ""
}
