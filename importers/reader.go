package importers

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// maxText is the longest text that a field may hold, in bytes.
const maxText = 4096

// reader turns rows into records. It lives for one run over a table.
type reader struct {
	t     *Table
	ids   identities
	cache cache
	reads []func(*reader, *Column, *Cell) // by column; nil for plain facts

	rec      Record
	problems []*Problem
	filled   int // cells of the row that hold text
}

func newReader(t *Table) *reader {
	r := &reader{t: t, ids: identities{scope: t.scope, times: make(map[hashID]int32)},
		cache: newCache(t.writes), reads: make([]func(*reader, *Column, *Cell), len(t.byIndex))}
	for i, c := range t.byIndex {
		if c != nil {
			r.reads[i] = readers[c.Field]
		}
	}
	return r
}

// row reads one row; bad names everything that is wrong with it.
func (r *reader) row(row Row) (Record, *RowError) {
	r.rec, r.problems, r.filled = Record{Line: row.Line}, nil, 0
	r.width(row)
	for i := range row.Cells {
		r.cell(i, &row.Cells[i])
	}
	if r.rec.Name == "" && !r.t.readings {
		r.problem(r.column(FieldName), row.Line, "", "the row has no name for its yarn",
			"give it one, or delete the row if it holds no yarn")
	}
	if r.filled == 1 && !r.t.readings && len(r.t.Columns) > 1 {
		r.ask("the row holds nothing but this name: if it is a title, `endsmeet retire` what came in")
	}
	if len(r.problems) == 0 {
		r.combineCells()
		r.identify()
	}
	if len(r.problems) == 0 {
		return r.rec, nil
	}
	return Record{}, &RowError{Line: row.Line, Cells: texts(row.Cells), Problems: r.problems}
}

func texts(cells []Cell) []string {
	out := make([]string, len(cells))
	for i := range cells {
		out[i] = strings.Clone(cells[i].Text)
	}
	return out
}

// width holds the number of cells against the header's.
func (r *reader) width(row Row) {
	n, want := len(row.Cells), len(r.t.Header)
	for n > want && strings.TrimSpace(row.Cells[n-1].Text) == "" {
		n--
	}
	if n > want || r.t.Grid.Strict && len(row.Cells) < want {
		r.problem(nil, row.Line, "", fmt.Sprintf("the row has %s, the header has %d",
			cellWords(len(row.Cells)), want),
			"put text that holds the separator between quotation marks, and keep every separator")
	}
}

func cellWords(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}

// identify gives the record its identity.
func (r *reader) identify() {
	id, first := r.ids.of(&r.rec)
	if first > 0 {
		r.problem(r.column(FieldID), r.rec.Line, r.rec.Ref,
			fmt.Sprintf("line %d has this number already", first),
			"give each row a number of its own")
	}
	r.rec.Identity = id
}

// column returns the column of a field, nil if there is none.
func (r *reader) column(f Field) *Column {
	for i := range r.t.Columns {
		if r.t.Columns[i].Field == f {
			return &r.t.Columns[i]
		}
	}
	return nil
}

func (r *reader) problem(c *Column, line int, value, reason, hint string) {
	p := &Problem{File: r.t.Grid.File, Sheet: r.t.Grid.Sheet, Line: line,
		Value: strings.Clone(value), Reason: reason, Hint: hint}
	if c != nil {
		p.Column, p.Header = c.Col, c.Heading
	}
	r.problems = append(r.problems, p)
}

// refuse turns a parser's error into a problem of the cell.
func (r *reader) refuse(c *Column, cell *Cell, err error) {
	e := written.AsError(err)
	r.problem(c, cell.Row, cell.Text, e.Reason, e.Hint)
}

// reasonOf returns what a parser of package measure found wrong, without the
// input that it repeats.
func reasonOf(err error) string {
	var e *measure.Error
	if errors.As(err, &e) {
		return e.Problem
	}
	return err.Error()
}

// cell reads one cell into the record.
func (r *reader) cell(i int, cell *Cell) {
	if i >= len(r.t.byIndex) || r.t.byIndex[i] == nil {
		return
	}
	text := strings.TrimSpace(cell.Text)
	if text == "" {
		return
	}
	c := r.t.byIndex[i]
	r.filled++
	switch {
	case cell.Kind == KindError:
		r.problem(c, cell.Row, text, "the spreadsheet shows an error here",
			"mend the formula, or clear the cell")
	case cell.Kind == KindFormula:
		r.problem(c, cell.Row, text, "a formula whose result is not stored in the file",
			"open the file in a spreadsheet program and save it again")
	case len(text) > maxText:
		r.problem(c, cell.Row, text, fmt.Sprintf("longer than %d bytes", maxText), "shorten it")
	case c.Field == "" || c.Field == FieldNote:
		r.rec.note(c.noteHeading(), strings.Clone(text))
	case Blank(text) && c.Field != FieldName:
	case r.reads[i] == nil:
		r.plainFact(c, cell)
	default:
		r.reads[i](r, c, cell)
	}
}

// noteHeading is the heading under which the column's cells become notes.
func (c *Column) noteHeading() string {
	if c.Heading == "" {
		return "column " + strconv.Itoa(c.Col)
	}
	return c.Heading
}

// readers are how the cells of a field are read; a fact that has none here is read
// as a person would type it.
var readers map[Field]func(*reader, *Column, *Cell)

func init() {
	readers = map[Field]func(*reader, *Column, *Cell){
		FieldID:           textReader(func(rec *Record) *string { return &rec.Ref }),
		FieldName:         textReader(func(rec *Record) *string { return &rec.Name }),
		FieldMaker:        textReader(func(rec *Record) *string { return &rec.Maker }),
		FieldColour:       textReader(func(rec *Record) *string { return &rec.Colour }),
		FieldFibre:        textReader(func(rec *Record) *string { return &rec.Fibre }),
		FieldConstruction: textReader(func(rec *Record) *string { return &rec.Construction }),
		FieldCountSource:  textReader(func(rec *Record) *string { return &rec.CountSource }),
		FieldLot:          textReader(func(rec *Record) *string { return &rec.Lot }),
		FieldBin:          textReader(func(rec *Record) *string { return &rec.Bin }),
		FieldWash:         textReader(func(rec *Record) *string { return &rec.Care }),
		FieldGross:        (*reader).mass, FieldTare: (*reader).mass, FieldNet: (*reader).mass,
		FieldLabelMass: (*reader).mass, FieldLength: (*reader).length,
		FieldLabelLength: (*reader).length, FieldCount: (*reader).count,
		FieldPutUp: (*reader).putUp, FieldForm: (*reader).packages,
		FieldPackages: (*reader).packages, FieldDoubt: (*reader).doubt,
		FieldAcquired: (*reader).acquired, FieldPrice: (*reader).price, FieldFit: (*reader).warp,
		FieldShedding: (*reader).shedding, FieldFlags: (*reader).flags,
		FieldWeighed: (*reader).weighed,
	}
}

// textReader reads a field of plain text into its place.
func textReader(place func(*Record) *string) func(*reader, *Column, *Cell) {
	return func(r *reader, c *Column, cell *Cell) {
		text := strings.TrimSpace(cell.Text)
		if cell.Kind == KindDate {
			r.ask("%s: the spreadsheet holds the date %s here; was something else typed?",
				c.Heading, text)
		}
		*place(&r.rec) = strings.Clone(text)
	}
}

// keptApart are the facts of yarn that is kept apart which sheets say in words of their own:
// what is not understood of them becomes a note under this word, which is asked about.
var keptApart = map[Field]string{"quarantine": "quarantine", "reserve": "reserved"}

// plainFact reads a fact of the stash as a person would type it.
func (r *reader) plainFact(c *Column, cell *Cell) {
	what := fields()[c.Field].what
	value, err := written.InHabit(strings.TrimSpace(cell.Text), r.t.writes,
		func(s string) (json.RawMessage, error) { return stash.Value(what, string(c.Field), s) })
	if err != nil {
		reason, hint := err.Error(), "write it as `endsmeet set` takes it"
		var fault *stash.ValueError
		if errors.As(err, &fault) {
			reason, hint = fault.Problem, fault.Hint
		}
		if word, ok := keptApart[c.Field]; ok {
			if !SaysNo(cell.Text) {
				r.rec.note(word, strings.Clone(strings.TrimSpace(cell.Text)))
			}
			return
		}
		r.problem(c, cell.Row, cell.Text, reason, hint)
		return
	}
	r.rec.Facts = append(r.rec.Facts, Fact{what, string(c.Field), value})
}

func (r *reader) flags(_ *Column, cell *Cell) {
	r.rec.Flags = append(r.rec.Flags, splitFlags(strings.TrimSpace(cell.Text))...)
}

// splitFlags splits at commas and semicolons outside brackets.
func splitFlags(text string) (flags []string) {
	depth, start := 0, 0
	add := func(end int) {
		if f := strings.TrimSpace(text[start:end]); !Blank(f) {
			flags = append(flags, strings.Clone(f))
		}
	}
	for i, c := range text {
		switch {
		case c == '(':
			depth++
		case c == ')':
			depth--
		case (c == ',' || c == ';') && depth <= 0:
			add(i)
			start = i + 1
		}
	}
	add(len(text))
	return flags
}

// weighed reads the day of a weighing; a month or a year is taken to its end, and what is
// no date becomes a note.
func (r *reader) weighed(c *Column, cell *Cell) {
	text := strings.TrimSpace(cell.Text)
	d, err := written.ParseDate(text)
	if day, dated := stash.DayOf(d.String()); err == nil && dated {
		r.rec.Weighed = day.Format(time.DateOnly)
		return
	}
	r.rec.note(c.noteHeading(), strings.Clone(text))
}

// acquired reads the date; words that are no date become a note, with the
// question that they raise.
func (r *reader) acquired(c *Column, cell *Cell) {
	text := strings.TrimSpace(cell.Text)
	d, err := written.ParseDate(text)
	if err == nil {
		r.rec.Acquired = &d
		return
	}
	r.rec.note(c.noteHeading(), strings.Clone(text))
	if year, ok := written.RoughYear(text); ok {
		r.rec.Acquired = &year
		return
	}
	if strings.ContainsAny(text, "0123456789") {
		e := written.AsError(err)
		r.rec.Questions = append(r.rec.Questions, fmt.Sprintf("%s %s is %s and stays a note: %s",
			c.Heading, quote(text), e.Reason, e.Hint))
	}
}

// warp keeps the answer as written and what it comes to: the first word when
// that is yes or no and nothing is added; a condition otherwise.
func (r *reader) warp(_ *Column, cell *Cell) {
	text := strings.TrimSpace(cell.Text)
	r.rec.WarpText = strings.Clone(text)
	lower := strings.ToLower(text)
	switch {
	case lower == "yes" || lower == "y" || lower == "ok" || lower == "warp" || lower == "true" ||
		lower == "x":
		r.rec.Warp = WarpYes
	case lower == "n" || lower == "false" || lower == "weft" || strings.HasPrefix(lower, "no") &&
		(len(lower) == 2 || strings.ContainsRune(":;,. ", rune(lower[2]))) ||
		strings.HasPrefix(lower, "weft only"):
		r.rec.Warp = WarpNo
	default:
		r.rec.Warp = WarpCare
	}
}

// sheddingWords are what people write for a degree of shedding.
var sheddingWords = map[string]int{"none": 0, "no": 0, "low": 1, "little": 1, "some": 1,
	"medium": 2, "yes": 2, "high": 3, "much": 3, "lots": 3}

func (r *reader) shedding(c *Column, cell *Cell) {
	text := strings.ToLower(strings.TrimSpace(cell.Text))
	n, ok := sheddingWords[text]
	if !ok {
		if len(text) != 1 || text[0] < '0' || text[0] > '3' {
			r.problem(c, cell.Row, cell.Text, "not a degree of shedding",
				"write 0 (none), 1, 2 or 3 (much)")
			return
		}
		n = int(text[0] - '0')
	}
	r.rec.Shedding = &n
}
