package tables

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Stash is what tables that were read hold.
type Stash struct {
	Yarns    []Yarn
	Packages []Package
	Projects []Project
	People   []Person
	Settings stash.Fields

	yarnIDs map[stash.YarnID]bool
}

// Package is a package as a table has it.
type Package struct {
	ID      stash.PackageID
	Yarn    stash.YarnID
	Fields  stash.Fields // all but the yarn
	Reading stash.Reading
	// Arrived, Lent and Retired are zero where not recorded.
	Arrived, Lent, Retired time.Time
	LentTo                 string
	Line                   int
}

// Lineless is a copy without the lines that things stand on.
func (s *Stash) Lineless() *Stash {
	out := *s
	out.Packages = slices.Clone(s.Packages)
	for i := range out.Packages {
		out.Packages[i].Line = 0
	}
	return &out
}

// Kinds are the names of the tables that are read back, in the order in which
// they have to be.
var Kinds = []string{"settings", "people", "yarns", "items", "projects"}

// HeadOf is the heading that the table of a kind begins with; "events" has one
// too, though it is read by itself.
func HeadOf(kind string) string {
	return map[string]string{"settings": settingHead, "yarns": yarnHead, "items": packageHead,
		"projects": projectHead, "people": personHead, "events": eventHead}[kind]
}

// reader reads the rows of one table.
type reader struct {
	grid     *importers.Grid
	column   map[string]int // by heading
	row      importers.Row
	problems importers.Problems
	bad      []*importers.Problem
}

// Read adds what a grid holds, which is the table of the kind given. The error
// is a *importers.Problems with everything that is wrong, or what the grid
// delivered.
func (s *Stash) Read(kind string, g *importers.Grid) error {
	r := &reader{grid: g}
	take := map[string]func(*reader){"settings": s.setting, "yarns": s.yarn, "items": s.packaged,
		"projects": s.project, "people": s.person}[kind]
	for row, err := range g.Rows {
		var p *importers.Problem
		switch {
		case errors.As(err, &p) && !p.Fatal:
			r.problems.Add(&importers.RowError{Line: p.Line, Problems: []*importers.Problem{p}})
			continue
		case err != nil:
			return err
		}
		r.row, r.bad = row, nil
		if r.column == nil {
			r.head(HeadOf(kind))
		} else if r.row.Cells != nil && !r.blank() {
			take(r)
		}
		if len(r.bad) > 0 {
			r.problems.Add(&importers.RowError{Line: row.Line, Problems: r.bad})
		}
	}
	return r.problems.Err()
}

func (r *reader) blank() bool {
	return !slices.ContainsFunc(r.row.Cells,
		func(c importers.Cell) bool { return strings.TrimSpace(c.Text) != "" })
}

// head reads the headings.
func (r *reader) head(first string) {
	r.column = map[string]int{}
	for i, c := range r.row.Cells {
		r.column[strings.TrimSpace(c.Text)] = i
	}
	if _, ok := r.column[first]; !ok {
		r.problem(first, "the table has no column "+first,
			"it has to be as `endsmeet export` wrote it")
	}
}

func (r *reader) problem(column, reason, hint string) {
	p := &importers.Problem{File: r.grid.File, Sheet: r.grid.Sheet, Line: r.row.Line,
		Reason: reason, Hint: hint}
	if i, ok := r.column[column]; ok {
		p.Column, p.Header, p.Value = i+1, column, r.text(column)
	}
	r.bad = append(r.bad, p)
}

// text is the cell of a column, empty where there is none.
func (r *reader) text(column string) string {
	i, ok := r.column[column]
	if !ok || i >= len(r.row.Cells) {
		return ""
	}
	return Unguard(r.row.Cells[i].Text)
}

// id reads an id, which must be given.
func (r *reader) id(column string) stash.Subject {
	id := r.text(column)
	if !isID(id) {
		r.problem(column, "not an id", "it has to be as `endsmeet export` wrote it")
	}
	return stash.Subject(id)
}

func isID(text string) bool {
	return len(text) == 12 && strings.Trim(text, "abcdefghijklmnopqrstuvwxyz234567") == ""
}

// fields reads the fields of a kind of subject.
func (r *reader) fields(what stash.What) stash.Fields {
	out := stash.Fields{}
	for _, name := range fieldNames(what) {
		if f, _ := stash.FieldOf(what, name); f.Refers != "" {
			continue
		}
		if raw := r.value(what, name, name); raw != nil {
			out[name] = raw
		}
	}
	return out
}

func (r *reader) value(what stash.What, name, column string) []byte {
	raw, err := stash.ReadText(what, name, r.text(column))
	if err != nil {
		r.problem(column, problemOf(err), hintOf(err))
	}
	return raw
}

// problemOf and hintOf take a parser's error apart.
func problemOf(err error) string {
	var value *stash.ValueError
	var quantity *measure.Error
	switch {
	case errors.As(err, &value):
		return value.Problem
	case errors.As(err, &quantity):
		return quantity.Problem
	}
	return err.Error()
}

func hintOf(err error) string {
	var value *stash.ValueError
	var quantity *measure.Error
	switch {
	case errors.As(err, &value):
		return value.Hint
	case errors.As(err, &quantity):
		return quantity.Hint
	}
	return ""
}

// grams reads a column of plain grams; nil where the cell is empty.
func (r *reader) grams(column string) *measure.Mass {
	text := strings.TrimSpace(r.text(column))
	if text == "" {
		return nil
	}
	body, negative := strings.CutPrefix(text, "-")
	n, err := written.ParseNumber(body, written.StylePoint)
	var m measure.Mass
	if err == nil {
		m, err = measure.ParseMass(n.In("g"))
	}
	if err != nil || n.Unit != "" || n.Times != 1 {
		r.problem(column, problemOf(err), "write plain grams, such as 412.5")
		return nil
	}
	if negative {
		m = -m
	}
	return &m
}

// moment reads a time, zero where the cell is empty.
func (r *reader) moment(column string) time.Time {
	text := strings.TrimSpace(r.text(column))
	if text == "" {
		return time.Time{}
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		r.problem(column, "no such moment", "write it as 2026-11-25T17:30:00Z")
	}
	return t
}

func (s *Stash) setting(r *reader) {
	name := r.text(settingHead)
	if _, err := stash.FieldOf(stash.WhatSettings, name); err != nil {
		r.problem(settingHead, "there is no such setting", hintOf(err))
		return
	}
	if raw := r.value(stash.WhatSettings, name, "value"); raw != nil {
		if s.Settings == nil {
			s.Settings = stash.Fields{}
		}
		s.Settings[name] = raw
	}
}

func (s *Stash) yarn(r *reader) {
	y := Yarn{stash.YarnID(r.id(yarnHead)), r.fields(stash.WhatYarn)}
	if y.Facts["name"] == nil {
		r.problem("name", "the yarn has no name", "give it one")
	}
	if s.yarnIDs[y.ID] {
		r.problem(yarnHead, "the id is there twice", "leave one of the rows")
	}
	if s.yarnIDs == nil {
		s.yarnIDs = map[stash.YarnID]bool{}
	}
	s.yarnIDs[y.ID] = true
	s.Yarns = append(s.Yarns, y)
}

func (s *Stash) packaged(r *reader) {
	p := Package{ID: stash.PackageID(r.id(packageHead)), Yarn: stash.YarnID(r.id(yarnHead)),
		Fields: r.fields(stash.WhatPackage), Line: r.row.Line}
	if !s.yarnIDs[p.Yarn] && len(r.bad) == 0 {
		r.problem(yarnHead, "the table of yarns has no such yarn",
			"keep yarns.csv next to items.csv")
	}
	if raw, err := stash.ReadText(stash.WhatPackage, "row", r.text("row")); err != nil {
		r.problem("row", problemOf(err), hintOf(err))
	} else if raw != nil {
		p.Fields["row"] = raw
	}
	p.Reading = r.reading(p.Fields)
	p.Arrived, p.Lent, p.Retired, p.LentTo = r.moment("arrived"), r.moment("lent"),
		r.moment("retired"), r.text("lent_to")
	s.Packages = append(s.Packages, p)
}

// reading is what the package would weigh now, as it was weighed last.
func (r *reader) reading(facts stash.Fields) stash.Reading {
	net := r.grams("net_g")
	if net == nil {
		return stash.Reading{}
	}
	var out stash.Reading
	if step := r.grams("scale_step_g"); step != nil {
		out.Step = *step
	}
	switch r.text("reading") {
	case readNet:
		out.Net = net
	case readGross:
		gross := *net + tareOf(facts)
		out.Gross = &gross
	default:
		r.problem("reading", "neither gross nor net",
			`write "net" if it was weighed without its cone`)
	}
	return out
}

func tareOf(facts stash.Fields) measure.Mass {
	if facts["tare"] == nil {
		return 0
	}
	var t stash.Tare
	_ = json.Unmarshal(facts["tare"], &t)
	return t.Mass
}

func (s *Stash) project(r *reader) {
	b := Project{stash.ProjectID(r.id(projectHead)), r.fields(stash.WhatProject)}
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		if f.Refers != stash.WhatPackage || r.text(f.Name) == "" {
			continue
		}
		raw, err := refs(r.text(f.Name))
		if err != nil {
			r.problem(f.Name, err.Error(), "write yarn:ID or item:ID, with spaces between them")
			continue
		}
		b.Facts[f.Name] = raw
	}
	r.recipient(b)
	if b.Facts["name"] == nil {
		r.problem("name", "the project has no name", "give it one")
	}
	s.Projects = append(s.Projects, b)
}

// refs reads what refText wrote.
func refs(text string) ([]byte, error) {
	var out []stash.Ref
	for word := range strings.FieldsSeq(text) {
		what, id, _ := strings.Cut(word, ":")
		switch {
		case id != "" && what == "yarn":
			out = append(out, stash.Ref{Yarn: stash.YarnID(id)})
		case id != "" && what == "item":
			out = append(out, stash.Ref{Package: stash.PackageID(id)})
		default:
			return nil, fmt.Errorf("%q names no yarn and no item", stash.Clean(word))
		}
	}
	return json.Marshal(out)
}
