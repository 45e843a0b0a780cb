package tables

import (
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"endsmeet/importers"
	"endsmeet/stash"
)

// EventHead is the heading of the table of events. All but raw is there for
// people to read, or to check raw against: raw is the event verbatim.
var EventHead = []string{eventHead, "lane", "seq", "private", "key", "when", "kind", "subject",
	"act", "raw"}

// rawBase64 stands before the raw line of an event that a table cannot hold as
// text.
const rawBase64 = "base64:"

// EventRow writes an event. Key is the public key of its lane, nil but in one
// row of the lane.
func EventRow(e stash.Event, private bool, key []byte) []string {
	raw := string(e.Raw)
	if !utf8.Valid(e.Raw) || strings.ContainsAny(raw, "\r\n\x00") ||
		strings.HasPrefix(raw, rawBase64) {
		raw = rawBase64 + base64.StdEncoding.EncodeToString(e.Raw)
	}
	return []string{e.ID().String(), string(e.Lane), strconv.FormatInt(e.Seq, 10),
		strconv.FormatBool(private), base64.StdEncoding.EncodeToString(key),
		stamp(e.At), string(e.Kind), string(e.Of), string(e.ActOf()), raw}
}

// Event is an event as a row of the table has it.
type Event struct {
	ID      string
	Lane    stash.Lane
	Seq     int64
	Private bool
	Key     []byte
	Raw     []byte
	Line    int
}

// Events reads the table of events row by row. The error is a
// *importers.Problem with the place, or what the grid or take returned; it ends
// the reading, since an event goes on from those before it.
func Events(g *importers.Grid, take func(Event) error) error {
	r := &reader{grid: g}
	for row, err := range g.Rows {
		if err != nil {
			return err
		}
		r.row = row
		if r.column == nil {
			r.head(eventHead)
		} else if !r.blank() {
			err = r.event(take)
		}
		if len(r.bad) > 0 {
			return r.bad[0]
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) event(take func(Event) error) error {
	e := Event{ID: r.text(eventHead), Lane: stash.Lane(r.text("lane")),
		Private: r.text("private") == "true", Raw: []byte(r.text("raw")), Line: r.row.Line}
	var err error
	if e.Seq, err = strconv.ParseInt(r.text("seq"), 10, 64); err != nil {
		r.problem("seq", "not a whole number", eventHint)
	}
	if e.Key, err = base64.StdEncoding.DecodeString(r.text("key")); err != nil {
		r.problem("key", "not a key", eventHint)
	}
	if body, ok := strings.CutPrefix(string(e.Raw), rawBase64); ok {
		if e.Raw, err = base64.StdEncoding.DecodeString(body); err != nil {
			r.problem("raw", "not an event", eventHint)
		}
	}
	if len(e.Key) == 0 {
		e.Key = nil
	}
	if len(e.Raw) == 0 {
		r.problem("raw", "the event is missing", eventHint)
	}
	if len(r.bad) > 0 {
		return nil
	}
	return take(e)
}

const eventHint = "it has to be as `endsmeet export` wrote it"

// person reads a row of the table of people.
func (s *Stash) person(r *reader) {
	p := Person{stash.PersonID(r.id(personHead)), r.fields(stash.WhatPerson)}
	if raw := r.value(stash.WhatPerson, rulesColumn, rulesColumn); raw != nil {
		p.Facts[rulesColumn] = raw
	}
	if p.Facts["name"] == nil {
		r.problem("name", "the person has no name", "give one, or delete the row")
	}
	s.People = append(s.People, p)
}

// recipient reads who a project is for.
func (r *reader) recipient(b Project) {
	text := strings.TrimSpace(r.text(forColumn))
	if text == "" {
		return
	}
	id, ok := strings.CutPrefix(text, "person:")
	if !ok || !isID(id) {
		r.problem(forColumn, "no person", "write person:ID, with the id of people.csv")
		return
	}
	b.Facts[forColumn] = fmt.Appendf(nil, "%q", id)
}
