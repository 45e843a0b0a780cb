package sqlite

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
)

// held collects the rows that an act inserts, so that many go in with one
// statement. Whatever else reads or writes has them inserted first (settle).
type held struct {
	subjects, events, touched, views, rows bulk
	touches                                []touchRow
	// lastSubject and lastEvent are the greatest numbers given, 0 until asked for.
	lastSubject, lastEvent int64
}

// touchRow is a row of touch.
type touchRow struct {
	subject int64
	class   stash.Class
	event   int64
}

// mostTouches is how many rows of touch are held back.
const mostTouches = 400_000

func newHeld() held {
	return held{
		subjects: newBulk(`subject (n, id)`, 2, ``),
		events:   newBulk(`event (n, lane, seq, chain, at, hlc, kind, act, raw)`, 9, ``),
		touched:  newBulk(`touch (subject, class, event)`, 3, ``),
		views: newBulk(`view (subject, what, id, tag, name, parent, live, word, held, state)`, 10,
			` ON CONFLICT (subject) DO UPDATE SET what = excluded.what, tag = excluded.tag, name = excluded.name,
			parent = excluded.parent, live = excluded.live, word = excluded.word, held = excluded.held, state = excluded.state`),
		rows: newBulk(`import_row (hash, subject)`, 2, ` ON CONFLICT DO NOTHING`),
	}
}

// holdEvent stores an event under its lane and gives its number.
func (tx *Tx) holdEvent(lane int64, e stash.Event) (int64, error) {
	h := &tx.held
	if err := tx.countFrom(&h.lastEvent, `SELECT coalesce(max(n), 0) FROM event`); err != nil {
		return 0, err
	}
	h.lastEvent++
	h.events.add(h.lastEvent, lane, e.Seq, e.Chain[:], e.At.UnixMilli(), int64(e.Clock),
		string(e.Kind), actColumn(e), e.Raw)
	if !h.events.full() {
		return h.lastEvent, nil
	}
	return h.lastEvent, tx.insertAll(&h.events)
}

// holdSubject stores a new subject and gives its number.
func (tx *Tx) holdSubject(id stash.Subject) (int64, error) {
	h := &tx.held
	if err := tx.countSubjects(); err != nil {
		return 0, err
	}
	h.lastSubject++
	h.subjects.add(h.lastSubject, string(id))
	return h.lastSubject, nil
}

// holdTouch notes that a subject is folded from an event.
func (tx *Tx) holdTouch(t touchRow) error {
	tx.held.touches = append(tx.held.touches, t)
	if len(tx.held.touches) < mostTouches {
		return nil
	}
	return tx.insertHeld()
}

// countSubjects reads the greatest number of a subject, once. Where there is none every
// subject that comes is new.
func (tx *Tx) countSubjects() error {
	h := &tx.held
	if h.lastSubject > 0 || tx.all {
		return nil
	}
	err := tx.countFrom(&h.lastSubject, `SELECT coalesce(max(n), 0) FROM subject`)
	tx.all = err == nil && h.lastSubject == 0
	return err
}

// countFrom reads the greatest number of a table, once.
func (tx *Tx) countFrom(last *int64, query string) error {
	if *last > 0 {
		return nil
	}
	_, err := tx.one(query, nil, last)
	return err
}

// empty says whether nothing is held back.
func (h *held) empty() bool {
	return len(h.subjects.values)+len(h.events.values)+len(h.touches)+len(h.views.values)+len(h.rows.values) == 0
}

// insertHeld inserts what is held back, what is referred to before what refers.
func (tx *Tx) insertHeld() error {
	h := &tx.held
	if h.empty() {
		return nil
	}
	if err := tx.insertAll(&h.subjects, &h.events); err != nil {
		return err
	}
	if len(h.touches) > 0 {
		tx.fault(PointInserted)
	}
	if err := tx.insertTouches(); err != nil {
		return err
	}
	return tx.insertAll(&h.views, &h.rows)
}

// insertTouches inserts the rows of touch in the order of their key.
func (tx *Tx) insertTouches() error {
	h := &tx.held
	slices.SortFunc(h.touches, func(a, b touchRow) int {
		return cmp.Or(cmp.Compare(a.subject, b.subject), cmp.Compare(a.class, b.class),
			cmp.Compare(a.event, b.event))
	})
	for _, r := range h.touches {
		if h.touched.full() {
			if err := tx.insertAll(&h.touched); err != nil {
				return err
			}
		}
		h.touched.add(r.subject, int(r.class), r.event)
	}
	h.touches = h.touches[:0]
	return tx.insertAll(&h.touched)
}

// bulk collects rows of one table.
type bulk struct {
	one, many string // statements for one row, and for bulkRows of them
	width     int
	values    []any
}

// bulkRows is how many rows go into one statement.
const bulkRows = 64

func newBulk(into string, width int, then string) bulk {
	row := "(?" + strings.Repeat(", ?", width-1) + ")"
	begin := `INSERT INTO ` + into + ` VALUES ` + row
	return bulk{one: begin + then, many: begin + strings.Repeat(", "+row, bulkRows-1) + then,
		width: width}
}

func (b *bulk) add(row ...any) {
	if b.values == nil {
		b.values = make([]any, 0, bulkRows*b.width)
	}
	b.values = append(b.values, row...)
}

func (b *bulk) full() bool { return len(b.values) >= bulkRows*b.width }

// insertAll inserts what was collected, bulkRows at a time as far as that goes.
func (tx *Tx) insertAll(bulks ...*bulk) error {
	for _, b := range bulks {
		for len(b.values) > 0 {
			query, n := b.many, bulkRows*b.width
			if len(b.values) < n {
				query, n = b.one, b.width
			}
			values := b.values[:n]
			b.values = b.values[n:]
			if _, err := tx.execNow(query, values...); err != nil {
				return err
			}
		}
		b.values = nil
	}
	return nil
}
