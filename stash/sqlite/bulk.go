package sqlite

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
)

// chunk is how many events are decoded at once, beside the one who stores.
const chunk = 256

// decoded is a run of decoded events, or why one of them cannot be read.
type decoded struct {
	events []stash.Event
	err    error
}

// load decodes, stores and folds the events of a run from the known-th on.
func (tx *Tx) load(lane int64, in Incoming, chains []stash.Chain, known int) error {
	last, err := tx.lastClock()
	if err != nil {
		return err
	}
	var n int64
	if _, err := tx.one(`SELECT coalesce(max(n), 0) FROM event`, nil, &n); err != nil {
		return err
	}
	stop := make(chan struct{})
	defer close(stop)
	tx.clock = last
	tx.touches = &heldTouches{}
	defer func() { tx.touches = nil }()
	for part := range in.decode(chains, known, stop) {
		if part.err != nil {
			return part.err
		}
		if err := tx.ctx.Err(); err != nil {
			return err
		}
		if err := tx.loadPart(lane, n, part.events); err != nil {
			return err
		}
		n += int64(len(part.events))
	}
	return tx.flushTouches()
}

// decode reads lines in a goroutine of its own, until all are read or stop is
// closed.
func (in Incoming) decode(chains []stash.Chain, known int, stop <-chan struct{}) <-chan decoded {
	parts := make(chan decoded, 4)
	go func() {
		defer close(parts)
		for from := known; from < len(in.Lines); from += chunk {
			part := in.decodePart(chains, from, min(from+chunk, len(in.Lines)))
			select {
			case parts <- part:
			case <-stop:
				return
			}
		}
	}()
	return parts
}

func (in Incoming) decodePart(chains []stash.Chain, from, to int) decoded {
	events := make([]stash.Event, to-from)
	for i := range events {
		e := &events[i]
		e.Lane, e.Seq, e.Chain, e.Raw = in.Lane, in.First+int64(from+i), chains[from+i], in.Lines[from+i]
		var err error
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			refusal := stash.Refuse(stash.CodeNewer, "install a newer version", "event %d of lane %s cannot be read", e.Seq, stash.Clean(string(e.Lane)))
			refusal.Cause = err
			return decoded{err: refusal}
		}
	}
	return decoded{events: events}
}

// loadPart stores and folds some events; n is the number of the last event
// that the file has. Their rows go in many at a time.
func (tx *Tx) loadPart(lane, n int64, events []stash.Event) error {
	rows := bulk{tx: tx, into: `event (n, lane, seq, chain, at, hlc, kind, act, raw)`, width: 9}
	for i, e := range events {
		err := rows.add(n+int64(i)+1, lane, e.Seq, e.Chain[:], e.At.UnixMilli(), int64(e.Clock), string(e.Kind), actColumn(e), e.Raw)
		if err != nil {
			return err
		}
		tx.clock = tx.clock.Seen(e.Clock, tx.now)
	}
	if err := rows.flush(); err != nil {
		return err
	}
	tx.fault(PointInserted)
	for i, e := range events {
		if err := tx.take(n+int64(i)+1, e); err != nil {
			return err
		}
	}
	return nil
}

// touchRow is a row of touch.
type touchRow struct {
	subject int64
	class   stash.Class
	event   int64
}

// mostTouches is how many rows of touch are held back.
const mostTouches = 50_000

// heldTouches holds rows of touch back while many events are taken in, to
// insert them in the order of their key.
type heldTouches struct{ rows []touchRow }

// flushTouches inserts the rows of touch that were held back.
func (tx *Tx) flushTouches() error {
	if tx.touches == nil || len(tx.touches.rows) == 0 {
		return nil
	}
	held := tx.touches.rows
	tx.touches.rows = held[:0]
	slices.SortFunc(held, func(a, b touchRow) int {
		return cmp.Or(cmp.Compare(a.subject, b.subject), cmp.Compare(a.class, b.class), cmp.Compare(a.event, b.event))
	})
	rows := bulk{tx: tx, into: `touch (subject, class, event)`, width: 3}
	for _, r := range held {
		if err := rows.add(r.subject, int(r.class), r.event); err != nil {
			return err
		}
	}
	return rows.flush()
}

// bulk collects rows of one table to insert many with one statement.
type bulk struct {
	tx     *Tx
	into   string
	width  int
	values []any
}

// bulkRows is how many rows go into one statement.
const bulkRows = 64

func (b *bulk) add(row ...any) error {
	b.values = append(b.values, row...)
	if len(b.values) < bulkRows*b.width {
		return nil
	}
	return b.flush()
}

// flush inserts what was collected.
func (b *bulk) flush() error {
	rows := len(b.values) / b.width
	if rows == 0 {
		return nil
	}
	row := "(?" + strings.Repeat(", ?", b.width-1) + ")"
	_, err := b.tx.exec(`INSERT INTO `+b.into+` VALUES `+row+strings.Repeat(", "+row, rows-1), b.values...)
	b.values = b.values[:0]
	return err
}
