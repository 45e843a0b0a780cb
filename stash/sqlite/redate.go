package sqlite

import (
	"cmp"
	"database/sql"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash"
)

// redates are the redates that stand, the last first. It is only read once it is made.
type redates struct{ all []stash.Redate }

// redates reads what dates were mended.
func (tx *Tx) redates() (*redates, error) {
	if tx.dates != nil {
		return tx.dates, nil
	}
	var events []stash.Event
	err := tx.each(`SELECT `+eventColumns+` JOIN touch t ON t.event = e.n
		WHERE t.subject = (SELECT n FROM subject WHERE id = ?) AND t.class = ?`,
		[]any{string(stash.SettingsSubject), int(stash.ClassDates)}, func(rows *sql.Rows) error {
			e, err := scanRaw(rows)
			if err == nil {
				e.Line, err = stash.DecodeLine(e.Raw)
			}
			events = append(events, e)
			return err
		})
	if err != nil {
		return nil, err
	}
	slices.SortFunc(events, func(a, b stash.Event) int {
		return cmp.Or(cmp.Compare(b.Clock, a.Clock), stash.Order(b, a))
	})
	read := &redates{}
	for _, e := range events {
		var r stash.Redate
		if !tx.Undone(e.ActOf()) && jsonv2.Unmarshal(e.Body, &r) == nil {
			read.all = append(read.all, r)
		}
	}
	tx.dates = read
	return read, nil
}

// mended is an event with its date as it was mended, if it was.
func (r *redates) mended(e stash.Event) stash.Event {
	for _, d := range r.all {
		if d.Mends(e) {
			return d.Mend(e)
		}
	}
	return e
}

// decode reads the lines that were not read yet.
func (r *redates) decode(events []stash.Event) (err error) {
	for i := range events {
		if e := &events[i]; e.Kind == "" {
			if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
				return err
			}
			*e = r.mended(*e)
		}
	}
	return nil
}

// unfoldDates has all folded anew whose dates an event mends, if it mends any.
func (tx *Tx) unfoldDates(e stash.Event) error {
	var r stash.Redate
	if e.Kind != stash.KindRedate || jsonv2.Unmarshal(e.Body, &r) != nil {
		return nil
	}
	for _, run := range r.Runs {
		events, err := tx.eventsIn(run)
		if err != nil {
			return err
		}
		for _, e := range events {
			if err := tx.redated(e); err != nil {
				return err
			}
		}
	}
	return nil
}

// redated has all folded anew that hangs on the date of an event.
func (tx *Tx) redated(e stash.Event) error {
	if err := tx.staleAll(e); err != nil {
		return err
	}
	for _, t := range stash.Touches(e.Line) {
		n, _, err := tx.subject(t.Subject)
		if err != nil {
			return err
		}
		tx.views[n].newcomers = nil // they have the date from before
		if t.Class == stash.ClassMake {
			if err := tx.lifeChanged(n, 0); err != nil {
				return err
			}
		}
	}
	return nil
}

// Dated is an event with its date as it was mended, and as it was written.
type Dated struct {
	stash.Event
	Written time.Time
	private bool
}

// After is its date once the dates of its day have moved by so much: what was put behind
// an entry that was dated ahead goes where it happened.
func (d Dated) After(by time.Duration) time.Time {
	if !d.Meant.IsZero() && d.At.Equal(d.Written) {
		return d.Meant
	}
	return d.At.Add(by)
}

// DatedEvents reads the events whose date, as it was mended, passes; in the order of
// the fold.
func (tx *Tx) DatedEvents(pass func(stash.Event) bool) ([]Dated, error) {
	dates, err := tx.redates()
	if err != nil {
		return nil, err
	}
	var out []Dated
	err = tx.each(`SELECT l.private, `+eventColumns, nil, func(rows *sql.Rows) error {
		var d Dated
		var err error
		if d.Event, err = scanRaw(rows, &d.private); err != nil {
			return err
		}
		if d.Line, err = stash.DecodeLine(d.Raw); err != nil {
			return err
		}
		d.Written = d.At
		if d.Event = dates.mended(d.Event); pass(d.Event) {
			out = append(out, d)
		}
		return nil
	})
	slices.SortFunc(out, func(a, b Dated) int { return stash.Order(a.Event, b.Event) })
	return out, err
}

// DraftRedates drafts what moves the dates of events by as much, those of what is told
// about people apart.
func DraftRedates(events []Dated, by time.Duration) []stash.Draft {
	type kind struct {
		private bool
		shift   int64
	}
	groups := map[kind][]Dated{}
	for _, d := range events {
		k := kind{d.private, d.After(by).Sub(d.Written).Milliseconds()}
		groups[k] = append(groups[k], d)
	}
	kinds := slices.SortedFunc(maps.Keys(groups), func(a, b kind) int {
		return cmp.Or(cmp.Compare(a.shift, b.shift), cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)))
	})
	var drafts []stash.Draft
	for _, k := range kinds {
		r := stash.Redate{Shift: k.shift, From: math.MaxInt64, To: math.MinInt64}
		for _, d := range groups[k] {
			r.From = min(r.From, d.Written.UnixMilli())
			r.To = max(r.To, d.Written.UnixMilli())
		}
		r.Runs = runsOf(groups[k])
		drafts = append(drafts, stash.Draft{Kind: stash.KindRedate, Of: stash.SettingsSubject,
			Private: k.private, Body: r})
	}
	return drafts
}

// runsOf gives where events lie, in as few runs as there are.
func runsOf(events []Dated) []stash.Run {
	events = slices.Clone(events)
	slices.SortFunc(events, func(a, b Dated) int {
		return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(a.Seq, b.Seq))
	})
	var runs []stash.Run
	for _, e := range events {
		last := len(runs) - 1
		if last >= 0 && runs[last].Lane == e.Lane && e.Seq <= runs[last].Last+1 {
			runs[last].Last = e.Seq
			continue
		}
		runs = append(runs, stash.Run{Lane: e.Lane, First: e.Seq, Last: e.Seq})
	}
	return runs
}
