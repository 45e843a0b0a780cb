package stash

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"

	jsonv2 "github.com/go-json-experiment/json"
)

// Candidate is one value of a field, with the event that stated it.
type Candidate struct {
	Event EventID         `json:"event"`
	Clock Clock           `json:"hlc"`
	Value json.RawMessage `json:"value"`
}

// Facts holds, for each field of a subject, the values that no other event
// has replaced, the one to show first (greatest clock, then id).
type Facts map[string][]Candidate

// statement is one event's value of one field.
type statement struct {
	event  Event
	value  json.RawMessage
	undone bool
}

// FoldFacts folds the fact events of one subject, in any order, any of them
// repeated. Events that do not state facts are passed over. A value that was
// undone does not stand, and what it replaced stands again, unless a later
// value replaced both.
func FoldFacts(subject Subject, events []Event, env Env) Facts {
	facts, _ := foldFacts(subject, events, env)
	return facts
}

// foldFacts is FoldFacts, and says whether a newer version wrote any of the
// events, or they cannot be read here.
func foldFacts(subject Subject, events []Event, env Env) (Facts, bool) {
	newer := false
	stated := map[string]map[EventID]statement{}
	for _, e := range events {
		fields, readable := factsOf(subject, e)
		newer = newer || !readable || e.Version > LineVersion
		for name, value := range fields {
			if stated[name] == nil {
				stated[name] = map[EventID]statement{}
			}
			stated[name][e.ID()] = statement{e, value, env.Undone(e.ActOf())}
		}
	}
	facts := Facts{}
	for name, statements := range stated {
		if candidates := standing(statements); len(candidates) > 0 {
			facts[name] = candidates
		}
	}
	return facts, newer
}

// standing keeps what nobody replaced, greatest clock first, then id.
func standing(statements map[EventID]statement) []Candidate {
	replaced := map[EventID]bool{}
	for _, s := range statements {
		if !s.undone {
			markReplaced(s.event, statements, replaced)
		}
	}
	var out []Candidate
	for id, s := range statements {
		if !s.undone && !replaced[id] {
			out = append(out, Candidate{id, s.event.Clock, s.value})
		}
	}
	slices.SortFunc(out, func(a, b Candidate) int {
		return cmp.Or(cmp.Compare(b.Clock, a.Clock), bytes.Compare(b.Event[:], a.Event[:]))
	})
	return out
}

// markReplaced marks what e replaced, and what was replaced by undone values
// that e replaced.
func markReplaced(e Event, statements map[EventID]statement, replaced map[EventID]bool) {
	for _, id := range e.Replaces {
		if replaced[id] {
			continue
		}
		replaced[id] = true
		if s, ok := statements[id]; ok && s.undone {
			markReplaced(s.event, statements, replaced)
		}
	}
}

// factsOf gives the facts that an event states of subject; readable is false
// for a kind or a body that this version does not know.
func factsOf(subject Subject, e Event) (fields Fields, readable bool) {
	switch e.Kind {
	case KindFinish:
		return thrumsFacts(subject, e)
	case KindWind:
		var m Movement
		err := jsonv2.Unmarshal(e.Body, &m)
		if err != nil || Subject(m.Into) != subject {
			return nil, err == nil
		}
		return m.Fields, true
	case KindYarn, KindReceive, KindSet, KindProject, KindPerson:
		var body struct {
			Fields Fields `json:"fields"`
		}
		err := jsonv2.Unmarshal(e.Body, &body)
		if subject == SettingsSubject {
			renameFormer(body.Fields)
		}
		return body.Fields, err == nil
	case KindOverride: // of a person: it is told of them and states nothing
		return nil, true
	}
	return nil, false
}

// formerSettings are the names that settings have now, by those that they had.
var formerSettings = map[string]string{
	"fits.rest":        "fits.leftover",
	"fits.weight.rest": "fits.weight.leftover",
}

// renameFormer gives settings that were stated by a former name the one that they have.
func renameFormer(fields Fields) {
	for was, name := range formerSettings {
		if value, stated := fields[was]; stated {
			fields[name] = value
			delete(fields, was)
		}
	}
}

func thrumsFacts(subject Subject, e Event) (Fields, bool) {
	var f Finish
	if jsonv2.Unmarshal(e.Body, &f) != nil {
		return nil, false
	}
	for _, t := range f.Thrums {
		if Subject(t.Package) == subject {
			return t.Fields, true
		}
	}
	return nil, true
}

// fitFacts puts shown values into the typed facts of a subject. A value that
// does not fit its field, or whose field is not known here, was written by a
// newer version: it is left out, and newer is true.
func fitFacts[T any](shown Fields) (facts T, newer bool) {
	whole, err := json.Marshal(shown)
	if err == nil && strictly(whole, &facts) == nil {
		return facts, false
	}
	facts = *new(T)
	for name, value := range shown {
		one, _ := json.Marshal(Fields{name: value})
		with := facts
		if strictly(one, &with) == nil {
			facts = with
		}
	}
	return facts, true
}

// onlyFacts gives the facts of a subject that only its receipt states, which is
// how most packages are: what foldFacts and fitFacts would give, in one step. It
// is false where there is more to it.
func onlyFacts[T any](events []Event, env Env) (facts T, ok bool) {
	if len(events) != 1 || events[0].Kind != KindReceive || events[0].Version > LineVersion ||
		env.Undone(events[0].ActOf()) {
		return facts, false
	}
	var body struct {
		Fields json.RawMessage `json:"fields"`
	}
	if jsonv2.Unmarshal(events[0].Body, &body) != nil || body.Fields == nil ||
		strictly(body.Fields, &facts) != nil {
		return *new(T), false
	}
	return facts, true
}

// strictly decodes JSON and refuses fields that the target does not have.
func strictly(raw []byte, into any) error {
	return jsonv2.Unmarshal(raw, into, jsonv2.RejectUnknownMembers(true))
}

// FieldsFrom writes facts as the ledger keeps them: only what is recorded.
func FieldsFrom(facts any) (Fields, error) {
	raw, err := json.Marshal(facts)
	if err != nil {
		return nil, err
	}
	fields := Fields{}
	return fields, jsonv2.Unmarshal(raw, &fields)
}

// Shown is the value to show for each field.
func (f Facts) Shown() Fields {
	out := Fields{}
	for name, candidates := range f {
		out[name] = candidates[0].Value
	}
	return out
}

// Disputed lists the fields in which different values stand beside each
// other, with every value, the shown one first. Values that state the same are one.
func (f Facts) Disputed() map[string][]json.RawMessage {
	var out map[string][]json.RawMessage
	for name, candidates := range f {
		var values []json.RawMessage
		for _, c := range candidates {
			if !slices.ContainsFunc(values,
				func(v json.RawMessage) bool { return SameFact(name, v, c.Value) }) {
				values = append(values, c.Value)
			}
		}
		if len(values) > 1 {
			if out == nil {
				out = map[string][]json.RawMessage{}
			}
			out[name] = values
		}
	}
	return out
}

// Seen lists the events whose values of the named fields stand now: what a
// set of those fields replaces.
func (f Facts) Seen(fields Fields) []EventID {
	var ids []EventID
	for name := range fields {
		for _, c := range f[name] {
			if !slices.Contains(ids, c.Event) {
				ids = append(ids, c.Event)
			}
		}
	}
	slices.SortFunc(ids, func(a, b EventID) int { return bytes.Compare(a[:], b[:]) })
	return ids
}
