package importers

import (
	"fmt"
	"iter"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/written"
)

// Options say how a grid is to be read.
type Options struct {
	Mapping Mapping
	Style   written.Style // StyleUnknown: found out from the cells
	// Habit says how the person who reads the grid writes numbers, where its cells do not
	// show how they are written; it may be nil.
	Habit func() written.Style
	Scope string // keeps the identities of different collections apart; may be empty
	// Readings says that the grid lists tags with what a scale showed, and need not
	// name the yarns.
	Readings bool
	// Unit is that of weights for which neither heading nor cell gives one; empty asks.
	Unit string
}

// Table is a grid whose header has been found and matched.
type Table struct {
	Grid    *Grid
	Line    int           // of the header
	Header  []Cell        // as matched; a header of two rows is joined
	Columns []Column      // in the order of the sheet
	Style   written.Style // in force, StyleUnknown when the cells do not show it
	Notes   []string      // what was passed over or chosen while reading the head

	readings bool
	habit    func() written.Style

	scope   string
	passed  []int
	first   int // first line that can hold a yarn
	byIndex []*Column
}

// maxRows is how many rows a table may have: as many as a sheet of the usual programs.
const maxRows = 1 << 20

// sampleRows is how many rows are looked at to find out how numbers are written.
const sampleRows = 1000

// NewTable finds the header in the first rows of the grid and matches its
// columns. The error is a *Problems with everything that keeps the grid from
// being read (no header, headings that stand twice, no column for the yarn's
// name, quantities without a unit), or what the source delivered.
func NewTable(g *Grid, o Options) (*Table, error) {
	rows, faults, err := g.top(headRows)
	if err != nil {
		return nil, err
	}
	h, found := findHeader(rows, o.Mapping)
	if !found && len(faults) > 0 {
		return nil, g.refuse(faults)
	}
	if !found {
		return nil, g.refuse([]*Problem{noHeader(rows)})
	}
	t := &Table{Grid: g, Line: h.line, Header: h.cells, scope: o.Scope, first: h.first,
		Style: o.Style, readings: o.Readings, habit: o.Habit}
	if t.Style == written.StyleUnknown {
		t.Style = written.ParseStyle(o.Mapping.Decimal)
	}
	columns, notes, problems := matchColumns(h.cells, o.Mapping)
	if o.Readings {
		asShown(columns, o.Unit)
	}
	t.Columns, t.Notes = columns, append(h.notes, notes...)
	t.index()
	problems = append(problems, t.needed()...)
	more, err := t.sample()
	if err != nil {
		return nil, err
	}
	if problems = append(problems, more...); len(problems) > 0 {
		return nil, g.refuse(problems)
	}
	return t, nil
}

// top returns copies of the first rows, and the problems of rows among them,
// which Records will report too.
func (g *Grid) top(n int) (rows []Row, faults []*Problem, err error) {
	for row, err := range g.Rows {
		if p, ok := err.(*Problem); ok {
			faults = append(faults, p)
			continue
		}
		if err != nil {
			return nil, nil, err
		}
		if rows = append(rows, row.clone()); len(rows) == n {
			break
		}
	}
	return rows, faults, nil
}

// refuse puts the grid's name on problems and makes them one error.
func (g *Grid) refuse(problems []*Problem) error {
	for _, p := range problems {
		p.File, p.Sheet = g.File, g.Sheet
	}
	return &Problems{List: problems}
}

// noHeader says that no row names a field, and shows the first row with text.
func noHeader(rows []Row) *Problem {
	for _, row := range rows {
		if !row.blank() {
			return &Problem{Line: row.Line,
				Reason: fmt.Sprintf("none of the first %d rows has a heading that is known; this one reads %s", headRows, quote(rowText(row))),
				Hint:   `put headings above the columns (name, colour, fibre, net g ...), or map them: --map 'HEADING=name'`}
		}
	}
	return &Problem{Reason: "holds no text",
		Hint: "check that it is the right file, and the right sheet"}
}

func (t *Table) index() {
	t.byIndex = make([]*Column, len(t.Header))
	for i := range t.Columns {
		c := &t.Columns[i]
		t.byIndex[c.Col-1] = c
	}
}

// needed demands a column for what a yarn is called; of readings, those for the tag
// and for the weight.
func (t *Table) needed() []*Problem {
	has := func(fields ...Field) bool {
		return slices.ContainsFunc(t.Columns,
			func(c Column) bool { return slices.Contains(fields, c.Field) })
	}
	missing := func(what, field string) []*Problem {
		return []*Problem{{Line: t.Line, Reason: "no column holds " + what + "; the headings are " +
			headingList(t.Columns),
			Hint: fmt.Sprintf("map the column that does: --map 'HEADING=%s'", field)}}
	}
	switch {
	case !t.readings && !has(FieldName):
		return missing("the name of the yarn", string(FieldName))
	case t.readings && !has(FieldID):
		return missing("the tags", string(FieldID))
	case t.readings && !has(FieldGross, FieldNet):
		return missing("what the scale showed", string(FieldGross))
	}
	return nil
}

// sample looks at the first rows for the decimal sign, and for columns of
// quantities in which neither heading nor cells give a unit.
func (t *Table) sample() ([]*Problem, error) {
	var styles written.Styles
	bare := make(map[*Column]Cell)
	seen := 0
	for row, err := range t.Grid.Rows {
		if _, ok := err.(*Problem); ok {
			continue
		}
		if err != nil {
			return nil, err
		}
		if row.Line < t.first {
			continue
		}
		if seen++; seen > sampleRows {
			break
		}
		t.sampleRow(row, &styles, bare)
	}
	if t.Style == written.StyleUnknown {
		t.Style = styles.Style()
	}
	return t.unitless(bare), nil
}

func (t *Table) sampleRow(row Row, styles *written.Styles, bare map[*Column]Cell) {
	for i, cell := range row.Cells {
		if i >= len(t.byIndex) || t.byIndex[i] == nil || cell.Text == "" {
			continue
		}
		c := t.byIndex[i]
		if cell.Kind == KindText && numeric(c.Field) {
			styles.Add(strings.TrimLeft(cell.Text, "£€$~ "))
		}
		if _, known := bare[c]; !known && fieldUnits(c.Field) != nil && c.Field != FieldDoubt &&
			c.Unit == "" && isBare(cell.Text) {
			cell.Text = strings.Clone(cell.Text)
			bare[c] = cell
		}
	}
}

// numeric reports whether a field's cells begin with a number.
func numeric(f Field) bool {
	return fieldUnits(f) != nil || f == FieldPrice || f == FieldPackages
}

// isBare reports whether text is digits, points and commas and nothing more.
func isBare(text string) bool {
	text = strings.TrimSpace(text)
	return text != "" && text != "0" && len(written.Numeral(text)) == len(text)
}

// unitless asks once for each column for the unit of its numbers.
func (t *Table) unitless(bare map[*Column]Cell) (problems []*Problem) {
	for i := range t.Columns {
		c := &t.Columns[i]
		cell, ok := bare[c]
		if !ok {
			continue
		}
		unit := fieldUnits(c.Field)
		example := "g"
		if c.Field != FieldGross && c.Field != FieldTare && c.Field != FieldNet &&
			c.Field != FieldLabelMass {
			example = unit[0]
		}
		problems = append(problems, &Problem{Line: cell.Row, Column: c.Col, Header: c.Heading,
			Value: cell.Text, Reason: "in which unit are the numbers of this column?",
			Hint: fmt.Sprintf("write the unit into the heading, or map it: --map %s; units: %s",
				stash.Quote(fmt.Sprintf("%s=%s:%s", c.Heading, c.Field, example)), unitList(c.Field))})
	}
	return problems
}

// Records streams the rows below the header, a Record or an error for each.
// An error that is a *RowError concerns one row, and the next rows still come;
// any other error is the last. Rows without text, repeated headers and totals
// are passed over; Passed has the lines of the totals.
func (t *Table) Records() iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		read := newReader(t)
		t.passed = nil
		n := 0
		for row, err := range t.Grid.Rows {
			if p, ok := err.(*Problem); ok && !p.Fatal {
				err = &RowError{Line: p.Line, Raw: p.Raw, Problems: []*Problem{p}}
			} else if err == nil {
				if row.Line < t.first || row.blank() || t.repeated(row) || t.passOver(row) {
					continue
				}
				if n++; n > maxRows {
					yield(Record{}, t.Grid.tooMany(row.Line))
					return
				}
				rec, bad := read.row(row)
				if bad == nil {
					if !yield(rec, nil) {
						return
					}
					continue
				}
				err = bad
			}
			if !yield(Record{}, err) {
				return
			}
		}
	}
}

// tooMany is the problem of a table that is longer than any sheet.
func (g *Grid) tooMany(line int) *Problem {
	return &Problem{File: g.File, Sheet: g.Sheet, Line: line, Fatal: true,
		Reason: fmt.Sprintf("more than %d rows", maxRows),
		Hint:   "check that it is a table of yarn; if so, split it into several files"}
}

// repeated reports whether the row is the header once more, as printed lists
// have it.
func (t *Table) repeated(row Row) bool {
	for i, c := range t.Header {
		if i >= len(row.Cells) || !strings.EqualFold(strings.TrimSpace(row.Cells[i].Text),
			strings.TrimSpace(c.Text)) {
			return false
		}
	}
	return true
}

// Passed lists the lines of the rows that the last run of Records took for
// sums of others, the first thousand of them.
func (t *Table) Passed() []int { return t.passed }

// passOver reports whether the row adds up others, and remembers its line.
func (t *Table) passOver(row Row) bool {
	if !t.total(row) {
		return false
	}
	if len(t.passed) < 1000 {
		t.passed = append(t.passed, row.Line)
	}
	return true
}

// totals are what a row that adds up the others has for a name.
var totals = map[string]bool{"total": true, "totals": true, "sum": true, "grand total": true,
	"subtotal": true}

// total reports whether the row adds up others.
func (t *Table) total(row Row) bool {
	for i := range row.Cells {
		text := strings.TrimSpace(row.Cells[i].Text)
		if text == "" {
			continue
		}
		return len(text) <= 12 && totals[strings.ToLower(strings.TrimSuffix(text, ":"))]
	}
	return false
}
