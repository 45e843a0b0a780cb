package sqlite

import (
	"database/sql"
	"slices"
	"sync"

	"endsmeet/stash"
)

// walkChains goes along every lane and names the events that do not go on from the
// one before, or that cannot be read; beside it the next are fetched, so read must ask
// nothing of the file.
func (tx *Tx) walkChains(r *Report, read func(*stash.Event) error) error {
	names, err := tx.laneNames()
	if err != nil {
		return err
	}
	parts := make(chan []stash.Event, 4)
	var beside sync.WaitGroup
	beside.Go(func() {
		var walk chainWalk
		for part := range parts {
			walk.along(r, part, read)
		}
	})
	part := make([]stash.Event, 0, chunk)
	err = tx.each(`SELECT lane, seq, chain, raw FROM event ORDER BY lane, seq`, nil,
		func(rows *sql.Rows) error {
			var lane int64
			var e stash.Event
			err := rows.Scan(&lane, &e.Seq, (*chainScan)(&e.Chain), &e.Raw)
			e.Lane = names[lane]
			if part = append(part, e); len(part) == chunk {
				parts <- part
				part = make([]stash.Event, 0, chunk)
			}
			return err
		})
	parts <- part
	close(parts)
	beside.Wait()
	return err
}

// laneNames are the names of the lanes by their numbers.
func (tx *Tx) laneNames() (map[int64]stash.Lane, error) {
	names := map[int64]stash.Lane{}
	return names, tx.each(`SELECT n, name FROM lane`, nil, func(rows *sql.Rows) error {
		var n int64
		var name stash.Lane
		err := rows.Scan(&n, (*string)(&name))
		names[n] = name
		return err
	})
}

// chainWalk goes through the events of lanes in order, keeping the chains of
// the sequence number at hand and of the one before.
type chainWalk struct {
	lane         stash.Lane
	seq          int64
	before, here []stash.Chain
}

// along reads the events that come next, and names those that are at fault.
func (w *chainWalk) along(r *Report, part []stash.Event, read func(*stash.Event) error) {
	for _, e := range part {
		if unread := read(&e); !w.step(e) || unread != nil {
			r.fault("chain", string(e.Lane), "event %d of lane %s is not what was written", e.Seq,
				e.Lane)
		}
	}
}

// step says whether e goes on from an event of the sequence number before.
func (w *chainWalk) step(e stash.Event) bool {
	switch {
	case e.Lane != w.lane:
		*w = chainWalk{lane: e.Lane, seq: 1, before: []stash.Chain{{}}}
	case e.Seq > w.seq:
		w.seq, w.before, w.here = w.seq+1, w.here, w.before[:0]
	}
	w.here = append(w.here, e.Chain)
	return e.Seq == w.seq && slices.ContainsFunc(w.before, func(tip stash.Chain) bool {
		return stash.NextChain(tip, e.Lane, e.Raw) == e.Chain
	})
}
