package intake

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

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
	// placed are entries of known yarns that are placed already: all that say the
	// same stand in the same place, until more is said of a yarn.
	placed map[said]Placed
}

// said is what entries say of their yarn: its name, and a hash of the rest.
type said struct {
	name string
	rest uint64
}

// yarn is a yarn with its facts; those of one that was in the stash are written
// as fields when they are first asked for.
type yarn struct {
	id     stash.YarnID
	name   string
	facts  *stash.YarnFacts
	fields stash.Fields
}

// stated gives the facts as fields.
func (y *yarn) stated() stash.Fields {
	if y.facts != nil {
		y.fields, _ = stash.FieldsFrom(*y.facts) // they came out of JSON
		y.facts = nil
	}
	return y.fields
}

// NewYarns starts with the yarns of a stash.
func NewYarns(known []stash.Yarn) *Yarns {
	y := &Yarns{byName: make(map[string]*yarn, len(known)), placed: map[said]Placed{}}
	for i := range known {
		k := &known[i]
		y.byName[stash.Fold(k.Name)] = &yarn{id: k.ID, name: k.Name, facts: &k.YarnFacts}
	}
	return y
}

// Known gives a test of whether a yarn of a name is there now, which what is
// placed later does not change.
func (y *Yarns) Known() func(name string) bool {
	names := make(map[string]struct{}, len(y.byName))
	for name := range y.byName {
		names[name] = struct{}{}
	}
	return func(name string) bool {
		_, there := names[stash.Fold(name)]
		return there
	}
}

// Place finds the yarn that an entry is of, or makes room for a new one with the
// id that newID draws. What the entry says more of a known yarn counts as said.
func (y *Yarns) Place(e *Entry, newID func() stash.YarnID) Placed {
	if p, ok := y.placed[e.said()]; ok {
		return p
	}
	p := y.Find(e)
	if p.New {
		p.ID = newID()
		y.byName[stash.Fold(p.Name)] = &yarn{id: p.ID, name: p.Name, fields: e.Yarn}
		return p
	}
	y.Say(p, p.More)
	if len(p.More) == 0 && len(y.placed) < mostSeen {
		y.placed[e.said()] = p
	}
	return p
}

func (e *Entry) said() said { return said{e.Name, e.yarnKey} }

// Find says where an entry's yarn stands and changes nothing; a new one has no
// id.
func (y *Yarns) Find(e *Entry) Placed {
	for _, name := range candidates(e) {
		known := y.byName[stash.Fold(name)]
		if known == nil {
			return Placed{Name: name, New: true}
		}
		if known.same(e.Yarn) {
			return known.compareKnown(e)
		}
	}
	return Placed{} // candidates never end
}

// As places an entry as the known yarn of its name, whatever its facts: for a
// row that corrects them. It is false where there is none.
func (y *Yarns) As(e *Entry) (Placed, bool) {
	known := y.byName[stash.Fold(e.Name)]
	if known == nil {
		return Placed{}, false
	}
	return known.compareKnown(e), true
}

// Say notes facts that a known yarn now has.
func (y *Yarns) Say(p Placed, fields stash.Fields) {
	known := y.byName[stash.Fold(p.Name)]
	if known == nil || len(fields) == 0 {
		return
	}
	known.fields = maps.Clone(known.stated()) // rows share them
	maps.Copy(known.fields, fields)
	clear(y.placed)
}

// compareKnown tells what an entry says beyond a known yarn.
func (y *yarn) compareKnown(e *Entry) Placed {
	p := Placed{ID: y.id, Name: y.name, More: stash.Fields{}, Differs: stash.Fields{}}
	stated := y.stated()
	for field, value := range e.Yarn {
		switch {
		case stated[field] == nil || string(stated[field]) == "null":
			p.More[field] = value
		case !stash.SameFact(field, stated[field], value):
			p.Differs[field] = value
		}
	}
	return p
}

// telling are the facts in which one yarn of a name differs from another.
var telling = []string{"fibre", "source"}

// same says whether facts can be of this yarn.
func (y *yarn) same(fields stash.Fields) bool {
	stated := y.stated()
	for _, name := range telling {
		if a, b := stated[name], fields[name]; a != nil && b != nil && !stash.SameFact(name, a, b) {
			return false
		}
	}
	a, b := countOf(stated), countOf(fields)
	return a == 0 || b == 0 || a == b
}

// candidates are the names that an entry's yarn may have, shortest first,
// without end.
func candidates(e *Entry) func(func(int, string) bool) {
	return func(yield func(int, string) bool) {
		names := []string{e.Name}
		if maker := e.Yarn.Text("source"); maker != "" {
			names = append(names, maker+" "+e.Name)
		}
		if c := countFactOf(e.Yarn); c.Count != 0 {
			names = append(names,
				fmt.Sprintf("%s (%s)", e.Name, cmp.Or(c.Written, c.Count.Format(measure.Metric))))
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

// Remarked says whether a package's facts hold the remark of a fact.
func Remarked(p stash.Fields, name string, value []byte) bool {
	f := stash.Fields{name: value}
	doubt, _ := json.Marshal(countFactOf(f).Doubt)
	return bytes.Equal(p["length_doubt"], doubt) || strings.Contains(p.Text("note"), remark(f))
}

// remark writes facts of a yarn as a remark, as they would be typed. A count
// that differs in its doubt alone is told by that.
func remark(f stash.Fields) string {
	var notes remarkList
	for _, name := range sortedNames(f) {
		switch doubt := countFactOf(f).Doubt; {
		case name == "note":
			notes.add("", f.Text(name))
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
