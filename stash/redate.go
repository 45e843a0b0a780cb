package stash

import (
	"encoding/json"
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"
)

// Redate is the body of an event that mends the dates which a wrong clock gave to
// earlier events: those in Runs whose date, as it was written, lies between From and
// To, both among them. Of several that mend one event the last counts, alone.
type Redate struct {
	// Shift is added to the date that was written, in milliseconds.
	Shift int64 `json:"shift_ms"`
	From  int64 `json:"from_ms"` // in Unix milliseconds
	To    int64 `json:"to_ms"`
	Runs  []Run `json:"runs"`
}

// Mends says whether the date of an event, as it was written, is mended.
func (r Redate) Mends(e Event) bool {
	at := e.At.UnixMilli()
	return r.From <= at && at <= r.To && slices.ContainsFunc(r.Runs, func(run Run) bool {
		return run.Lane == e.Lane && run.First <= e.Seq && e.Seq <= run.Last
	})
}

// Mend gives an event as it would have been written by a right clock.
func (r Redate) Mend(e Event) Event {
	wrong := e.At
	e.At = wrong.Add(time.Duration(r.Shift) * time.Millisecond)
	e.Body = mendDays(e.Body, wrong, e.At)
	return e
}

// mendDays moves the days within a body that were reckoned from a wrong clock: those
// that lie nearer to its date than to the right one.
func mendDays(body json.RawMessage, wrong, right time.Time) json.RawMessage {
	var parts Fields
	if jsonv2.Unmarshal(body, &parts) != nil {
		return body
	}
	move := func(in Fields, key string) bool {
		moved, ok := mendDay(in[key], wrong, right)
		if ok {
			in[key] = moved
		}
		return ok
	}
	changed := move(parts, "until")
	var fields Fields
	if jsonv2.Unmarshal(parts["fields"], &fields) == nil {
		inFields := false
		for _, f := range slices.Concat(packageFields, projectFields) {
			inFields = f.Dated && move(fields, f.Name) || inFields
		}
		var away Fields
		if jsonv2.Unmarshal(fields["quarantine"], &away) == nil {
			since, until := move(away, "since"), move(away, "until")
			if since || until {
				fields["quarantine"], inFields = marshalled(away), true
			}
		}
		if inFields {
			parts["fields"], changed = marshalled(fields), true
		}
	}
	if !changed {
		return body
	}
	return marshalled(parts)
}

// marshalled is a map of JSON as JSON, in the order of its keys.
func marshalled(m Fields) json.RawMessage {
	raw, err := json.Marshal(m)
	if err != nil {
		panic(err) // what was read can be written
	}
	return raw
}

// mendDay moves a day by as many days as the clock was wrong; false where it is no
// whole day, or not one that was reckoned from that clock.
func mendDay(raw json.RawMessage, wrong, right time.Time) (json.RawMessage, bool) {
	var text string
	if jsonv2.Unmarshal(raw, &text) != nil {
		return nil, false
	}
	day, err := time.ParseInLocation(time.DateOnly, text, wrong.Location())
	if err != nil || day.Sub(wrong).Abs() >= day.Sub(right).Abs() {
		return nil, false
	}
	moved := day.AddDate(0, 0, daysBetween(wrong, right)).Format(time.DateOnly)
	if moved == text {
		return nil, false
	}
	return json.RawMessage(`"` + moved + `"`), true
}

// daysBetween is how many days of the calendar lie between two moments.
func daysBetween(from, to time.Time) int {
	midnight := func(t time.Time) time.Time {
		y, m, d := t.Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	return int(midnight(to).Sub(midnight(from)) / (24 * time.Hour))
}
