package sqlite

import (
	"database/sql"
	"slices"

	"endsmeet/stash"
)

// Past is an event in a subject's history.
type Past struct {
	stash.Event
	// Own says that this replica recorded it.
	Own bool
	// Undone says that it was reversed.
	Undone bool
}

// History reads all events of a subject in the order of the fold.
func (tx *Tx) History(id stash.Subject) ([]Past, error) {
	var n int64
	found, err := tx.one(`SELECT n FROM subject WHERE id = ?`, []any{string(id)}, &n)
	if err != nil || !found {
		return nil, err
	}
	events, err := tx.query(`SELECT DISTINCT `+eventColumns+` JOIN touch t ON t.event = e.n WHERE t.subject = ?`, n)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(events, stash.Order)
	return tx.past(events)
}

// Recent reads the last acts of this replica, newest first, at most limit
// events.
func (tx *Tx) Recent(limit int) ([]Past, error) {
	events, err := tx.query(`SELECT `+eventColumns+` ORDER BY e.n DESC LIMIT ?`, limit)
	if err != nil {
		return nil, err
	}
	return tx.past(events)
}

func (tx *Tx) past(events []stash.Event) ([]Past, error) {
	own, err := tx.ownLanes()
	if err != nil {
		return nil, err
	}
	out := make([]Past, len(events))
	for i, e := range events {
		out[i] = Past{Event: e, Own: own[e.Lane], Undone: tx.Undone(e.ActOf())}
	}
	return out, nil
}

func (tx *Tx) ownLanes() (map[stash.Lane]bool, error) {
	keys, err := tx.store.readKeys()
	own := map[stash.Lane]bool{}
	for _, k := range keys.Lanes {
		own[k.Lane] = true
	}
	return own, err
}

// query reads the events that a query of eventColumns gives.
func (tx *Tx) query(query string, args ...any) ([]stash.Event, error) {
	var events []stash.Event
	err := tx.each(query, args, func(rows *sql.Rows) error {
		e, err := scanEvent(rows)
		events = append(events, e)
		return err
	})
	return events, err
}

// Events reads every event in the order in which they came here; private
// ones only if asked for.
func (tx *Tx) Events(private bool, each func(stash.Event) error) error {
	query := `SELECT ` + eventColumns + ` WHERE l.private = 0 ORDER BY e.n`
	if private {
		query = `SELECT ` + eventColumns + ` ORDER BY e.n`
	}
	return tx.each(query, nil, func(rows *sql.Rows) error {
		e, err := scanEvent(rows)
		if err != nil {
			return err
		}
		return each(e)
	})
}

// LastAct is the newest act of this replica that stands and is no undo; the
// second value is false where there is none.
func (tx *Tx) LastAct() ([]stash.Event, bool, error) {
	own, err := tx.ownLanes()
	if err != nil {
		return nil, false, err
	}
	last, err := tx.lastStanding(own)
	if err != nil || last == nil {
		return nil, false, err
	}
	events, err := tx.ActNamed(last.ActOf())
	return events, len(events) > 0, err
}

func (tx *Tx) lastStanding(own map[stash.Lane]bool) (*stash.Event, error) {
	var before int64 = 1 << 62
	for {
		var n int64
		var e stash.Event
		var lane string
		found, err := tx.one(`SELECT e.n, l.name, e.chain, e.raw FROM event e JOIN lane l ON l.n = e.lane WHERE e.n < ? ORDER BY e.n DESC LIMIT 1`,
			[]any{before}, &n, &lane, (*chainScan)(&e.Chain), &e.Raw)
		if err != nil || !found {
			return nil, err
		}
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			return nil, err
		}
		if own[stash.Lane(lane)] && e.Kind != stash.KindUndo && !tx.Undone(e.ActOf()) {
			return &e, nil
		}
		before = n
	}
}

// chainScan reads a chain hash from a row.
type chainScan stash.Chain

// Scan copies the bytes of the column.
func (c *chainScan) Scan(v any) error {
	raw, _ := v.([]byte)
	copy(c[:], raw)
	return nil
}

// ActNamed reads the events of an act in the order in which they came here.
func (tx *Tx) ActNamed(act stash.Act) ([]stash.Event, error) {
	var id stash.EventID
	if id.UnmarshalText([]byte(act)) != nil {
		return nil, nil
	}
	first, found, err := tx.eventNumber(id)
	if err != nil || !found {
		return nil, err
	}
	var events []stash.Event
	err = tx.each(`SELECT `+eventColumns+` WHERE e.n >= ? ORDER BY e.n`, []any{first}, func(rows *sql.Rows) error {
		e, err := scanEvent(rows)
		if err != nil {
			return err
		}
		if e.ActOf() != act {
			return errEnough
		}
		events = append(events, e)
		return nil
	})
	if err == errEnough {
		err = nil
	}
	return events, err
}

// eventNumber finds an event by its id.
func (tx *Tx) eventNumber(id stash.EventID) (n int64, found bool, err error) {
	found, err = tx.one(`SELECT n FROM event WHERE substr(chain, 1, 16) = ?`, []any{id[:]}, &n)
	return n, found, err
}

// EventNamed finds the event whose id begins with the text given; false where
// none or more than one does.
func (tx *Tx) EventNamed(prefix string) (stash.Event, bool, error) {
	var hit stash.Event
	hits := 0
	err := tx.Events(true, func(e stash.Event) error {
		if id := e.ID().String(); len(prefix) >= 4 && len(id) >= len(prefix) && id[:len(prefix)] == prefix {
			hit = e
			hits++
		}
		return nil
	})
	return hit, hits == 1, err
}

// DraftUndo drafts the reversal of an act from its events.
func DraftUndo(events []stash.Event) stash.Draft {
	u := stash.Undo{Act: events[0].ActOf()}
	for _, e := range events {
		last := len(u.Runs) - 1
		if last >= 0 && u.Runs[last].Lane == e.Lane && u.Runs[last].Last == e.Seq-1 {
			u.Runs[last].Last = e.Seq
			continue
		}
		u.Runs = append(u.Runs, stash.Run{Lane: e.Lane, First: e.Seq, Last: e.Seq})
	}
	return stash.Draft{Kind: stash.KindUndo, Of: events[0].Of, Body: u}
}

