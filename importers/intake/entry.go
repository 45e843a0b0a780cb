package intake

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"endsmeet/importers"
	"endsmeet/stash"
)

// Entry is what a row comes to.
type Entry struct {
	Line int
	// Ref is the sheet's own number of the row; Untagged says that it cannot be
	// the tag of a package.
	Ref      string
	Untagged bool
	Name     string
	Yarn     stash.Fields // all but the name
	YarnID   stash.YarnID // set by Yarns.Place
	Packages []Package
	Key      importers.Identity
	// Questions are what a person should settle; nothing waits for it.
	Questions []Question
}

// Question is something that a person should settle. How is a command for it,
// with %s for the package, empty where there is none.
type Question struct{ Text, How string }

// Maker makes entries, and remembers the yarns that it has seen. The zero value
// is ready.
type Maker struct {
	yarns map[uint64]stash.Fields
}

// mostSeen is how many yarns a Maker remembers.
const mostSeen = 10_000

// yarn gives the facts of a row's yarn, which nobody may change.
func (m *Maker) yarn(r *importers.Record) (stash.Fields, error) {
	key := yarnKey(r)
	if fields, ok := m.yarns[key]; ok {
		return fields, nil
	}
	fields, err := fieldsOf(yarnOf(r))
	if m.yarns == nil || len(m.yarns) >= mostSeen {
		m.yarns = map[uint64]stash.Fields{}
	}
	m.yarns[key] = fields
	return fields, err
}

// Of turns a record into an entry, with the name of its yarn and its colour as
// Names splits them.
func (m *Maker) Of(r *importers.Record, name, colour string) (Entry, error) {
	e := Entry{Line: r.Line, Ref: r.Ref, Name: stash.Clean(name), Key: r.Identity}
	var err error
	if e.Yarn, err = m.yarn(r); err != nil {
		return e, err
	}
	readings, together := weigh(r)
	var notes remarkList
	p := facts(r, colour, &notes)
	p.Longest = longest(r)
	labels, ok := tags(r.Ref, len(readings))
	if e.Untagged = !ok; e.Untagged {
		notes.add("number in the sheet", r.Ref)
	}
	e.remark(r, together, &notes)
	p.Note = notes.String()
	for i, reading := range readings {
		p.Tag, p.Tare = labels[i], tareOf(r, reading, p.Form)
		fields, err := fieldsOf(p)
		if err != nil {
			return e, err
		}
		e.Packages = append(e.Packages, Package{fields, reading})
	}
	e.ask(r)
	return e, nil
}

// remark notes what has no field.
func (e *Entry) remark(r *importers.Record, together int, notes *remarkList) {
	if together > 1 {
		notes.add("", fmt.Sprintf("%d packages together, not weighed one by one", together))
	}
	for _, n := range r.Notes {
		if plainNote(n.Heading) {
			notes.add("", n.Text)
		} else {
			notes.add(n.Heading, n.Text)
		}
	}
	switch {
	case r.Length == nil:
	case r.Net == nil && r.Gross == nil && byLength(r) != nil:
		notes.add("net", "worked out from the length of "+r.Length.String())
	case !agrees(r):
		notes.add("length in the sheet", r.Length.String())
	}
}

// agrees says whether a row's length is, within two per cent, that of its mass
// and count.
func agrees(r *importers.Record) bool {
	if r.Net == nil || r.Count.Count == 0 {
		return false
	}
	want := float64(*r.Net) / float64(r.Count.Count) * 1e6
	off := float64(*r.Length) - want
	return off <= want/50 && -off <= want/50
}

// ask gathers what is open.
func (e *Entry) ask(r *importers.Record) {
	for _, q := range r.Questions {
		e.Questions = append(e.Questions, Question{Text: q})
	}
	for _, text := range remarks(r) {
		for _, a := range askWords {
			if hasWord(text, a.word) {
				e.Questions = append(e.Questions, Question{Text: "a remark speaks of " + a.what + ", and is kept as a note: " + strconv.Quote(stash.Clean(text)), How: "endsmeet " + a.how})
				break
			}
		}
	}
}

// Placed is where an entry's yarn stands.
type Placed struct {
	ID stash.YarnID
	// Name is what the yarn is called, which may be longer than in the sheet.
	Name string
	// New says that the yarn is not in the stash. More are facts that it lacks,
	// Differs those that it states otherwise.
	New           bool
	More, Differs stash.Fields
}

// Yarns knows the yarns of a stash and of what came in so far.
type Yarns struct {
	byName map[string]*yarn
}

type yarn struct {
	id     stash.YarnID
	name   string
	fields stash.Fields
}

// NewYarns starts with the yarns of a stash.
func NewYarns(known []stash.Yarn) (*Yarns, error) {
	y := &Yarns{byName: map[string]*yarn{}}
	for _, k := range known {
		fields, err := fieldsOf(k.YarnFacts)
		if err != nil {
			return nil, err
		}
		y.byName[folded(k.Name)] = &yarn{k.ID, k.Name, fields}
	}
	return y, nil
}

// Known says whether a yarn of a name is there.
func (y *Yarns) Known(name string) bool { return y.byName[folded(name)] != nil }

// Place finds the yarn that an entry is of, or makes room for a new one with the
// id that newID draws.
func (y *Yarns) Place(e *Entry, newID func() stash.YarnID) Placed {
	for _, name := range candidates(e) {
		known := y.byName[folded(name)]
		if known == nil {
			y.byName[folded(name)] = &yarn{newID(), name, maps.Clone(e.Yarn)}
			return Placed{ID: y.byName[folded(name)].id, Name: name, New: true}
		}
		if known.same(e.Yarn) {
			return known.place(e)
		}
	}
	return Placed{} // candidates never end
}

// place tells what an entry says beyond a known yarn.
func (y *yarn) place(e *Entry) Placed {
	p := Placed{ID: y.id, Name: y.name, More: stash.Fields{}, Differs: stash.Fields{}}
	for field, value := range e.Yarn {
		switch {
		case y.fields[field] == nil || string(y.fields[field]) == "null":
			p.More[field] = value
			y.fields[field] = value
		case !bytes.Equal(y.fields[field], value):
			p.Differs[field] = value
		}
	}
	return p
}

// telling are the facts in which one yarn of a name differs from another.
var telling = []string{"fibre", "source"}

// same says whether facts can be of this yarn.
func (y *yarn) same(fields stash.Fields) bool {
	for _, name := range telling {
		if a, b := y.fields[name], fields[name]; a != nil && b != nil && !bytes.Equal(a, b) {
			return false
		}
	}
	a, b := countOf(y.fields), countOf(fields)
	return a == 0 || b == 0 || a == b
}

// candidates are the names that an entry's yarn may have, shortest first,
// without end.
func candidates(e *Entry) func(func(int, string) bool) {
	return func(yield func(int, string) bool) {
		names := []string{e.Name}
		if maker := textOf(e.Yarn["source"]); maker != "" {
			names = append(names, maker+" "+e.Name)
		}
		if c := countFactOf(e.Yarn); c.Count != 0 {
			names = append(names, fmt.Sprintf("%s (%s)", e.Name, c.Written))
		}
		for i := 0; ; i++ {
			name := fmt.Sprintf("%s (%d)", e.Name, i-len(names)+2)
			if i < len(names) {
				name = names[i]
			}
			if !yield(i, name) {
				return
			}
		}
	}
}

// sortedNames lists the names of fields in the order of the alphabet.
func sortedNames(f stash.Fields) []string { return slices.Sorted(maps.Keys(f)) }

// remark writes facts of a yarn as a remark, as they would be typed. A count
// that differs in its doubt alone is told by that.
func remark(f stash.Fields) string {
	var notes remarkList
	for _, name := range sortedNames(f) {
		switch doubt := countFactOf(f).Doubt; {
		case name == "note":
			notes.add("", textOf(f[name]))
		case name == "count" && doubt != 0:
			notes.add("length", "give or take "+doubt.String())
		default:
			notes.add("the sheet says "+name, stash.ValueText(stash.WhatYarn, name, f[name]))
		}
	}
	return notes.String()
}

func joinRemarks(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// Row is the i-th package's memory of its row.
func (e *Entry) Row(i int) stash.Row {
	row := stash.Row{Key: e.Key.Key, Content: e.Key.Content}
	row.Key = row.Nth(i + 1)
	if i < len(e.Packages) {
		row.Net = e.Packages[i].Net()
	}
	return row
}

// Tag is the tag of the i-th package, empty for none.
func (e *Entry) Tag(i int) string {
	if i >= len(e.Packages) {
		return ""
	}
	return textOf(e.Packages[i].Fields["tag"])
}

// Remark notes facts that the yarn states otherwise on the row's packages.
func (e *Entry) Remark(differs stash.Fields) {
	text := remark(differs)
	if text == "" {
		return
	}
	for _, p := range e.Packages {
		p.Fields["note"] = jsonText(joinRemarks(textOf(p.Fields["note"]), text))
	}
}

// Command is the command that settles a question about a package, empty where
// there is none, or no package that can be named.
func (q Question) Command(tag string) string {
	if q.How == "" || tag == "" {
		return ""
	}
	return fmt.Sprintf(q.How, tag)
}
