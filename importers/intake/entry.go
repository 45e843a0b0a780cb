package intake

import (
	"encoding/json"
	"fmt"
	"maps"

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

	yarnKey uint64 // of what the row says of its yarn beside the name
}

// Maker makes entries, and remembers the yarns that it has seen. The zero value
// is ready.
type Maker struct {
	yarns map[uint64]stash.Fields
}

// mostSeen is how many yarns a Maker remembers.
const mostSeen = 10_000

// yarn gives the facts of a row's yarn, which nobody may change.
func (m *Maker) yarn(key uint64, r *importers.Record) (stash.Fields, error) {
	if fields, ok := m.yarns[key]; ok {
		return fields, nil
	}
	fields, err := stash.FieldsFrom(yarnOf(r))
	r.State(stash.WhatYarn, fields)
	if m.yarns == nil || len(m.yarns) >= mostSeen {
		m.yarns = map[uint64]stash.Fields{}
	}
	m.yarns[key] = fields
	return fields, err
}

// Of turns a record into an entry, with the name of its yarn and its colour as
// Names splits them.
func (m *Maker) Of(r *importers.Record, name, colour string) (Entry, error) {
	e := Entry{Line: r.Line, Ref: r.Ref, Name: stash.Clean(name), Key: r.Identity,
		yarnKey: yarnKey(r)}
	var err error
	if e.Yarn, err = m.yarn(e.yarnKey, r); err != nil {
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
		fields, err := stash.FieldsFrom(p)
		if err != nil {
			return e, err
		}
		r.State(stash.WhatPackage, fields)
		e.Packages = append(e.Packages, Package{fields, reading, r.Weighed})
	}
	e.ask(r)
	return e, nil
}

// remark notes what has no field.
func (e *Entry) remark(r *importers.Record, together int, notes *remarkList) {
	if together > 1 {
		notes.add("", fmt.Sprintf("%d together, not weighed one by one", together))
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
	return e.Packages[i].Fields.Text("tag")
}

// Remark notes facts that the yarn states otherwise on the row's packages. How far a length
// may be off, of a count that is the yarn's else, is a fact of theirs.
func (e *Entry) Remark(differs stash.Fields) {
	differs = maps.Clone(differs)
	doubt := countFactOf(differs).Doubt
	if doubt != 0 {
		delete(differs, "count") // it differs in that alone
	}
	text := remark(differs)
	for _, p := range e.Packages {
		if doubt != 0 {
			p.Fields["length_doubt"], _ = json.Marshal(doubt)
		}
		if text == "" {
			continue
		}
		p.Fields["note"] = jsonText(joinRemarks(p.Fields.Text("note"), text))
	}
}
