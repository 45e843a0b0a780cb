package sqlite

import (
	"database/sql"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"

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
	dates, err := tx.redates()
	if err != nil {
		return nil, err
	}
	err = tx.each(query, args, func(rows *sql.Rows) error {
		e, err := dates.scan(rows)
		events = append(events, e)
		return err
	})
	return events, err
}

// Events tells of every event in the order in which they came here, its line as it
// was stored and not read; private ones only if asked for.
func (tx *Tx) Events(private bool, each func(stash.Event) error) error {
	query := `SELECT ` + eventColumns + ` WHERE l.private = 0 ORDER BY e.n`
	if private {
		query = `SELECT ` + eventColumns + ` ORDER BY e.n`
	}
	return tx.each(query, nil, func(rows *sql.Rows) error {
		e, err := scanRaw(rows)
		if err != nil {
			return err
		}
		return each(e)
	})
}

// LastAct is the newest act of this replica that stands, with undos or without;
// the second value is false where there is none.
func (tx *Tx) LastAct(undos bool) ([]stash.Event, bool, error) {
	first, found, err := tx.LastBegun(undos)
	if err != nil || !found {
		return nil, false, err
	}
	rest, err := tx.actMembers(first.ActOf())
	if first.Act != "" { // its beginning is not here
		return rest, true, err
	}
	return append([]stash.Event{first}, rest...), true, err
}

// LastBegun is the event that began the newest act of this replica that stands, or
// its last one where the beginning is not here; false where there is no act.
func (tx *Tx) LastBegun(undos bool) (stash.Event, bool, error) {
	own, err := tx.ownLanes()
	if err != nil {
		return stash.Event{}, false, err
	}
	last, err := tx.lastStanding(own, undos)
	if err != nil || last == nil {
		return stash.Event{}, false, err
	}
	if last.Act == "" {
		return *last, true, nil
	}
	first, err := tx.firstOf(last.Act)
	if err != nil || len(first) == 0 {
		return *last, true, err
	}
	return first[0], true, nil
}

// firstOf reads the event that began an act of which more are here. It stands before
// the next of them, unless it came from elsewhere.
func (tx *Tx) firstOf(act stash.Act) ([]stash.Event, error) {
	before, err := tx.query(`SELECT `+eventColumns+` WHERE e.n = (SELECT min(n) FROM event WHERE act = ?) - 1`, string(act))
	if err != nil || len(before) == 1 && before[0].ActOf() == act {
		return before, err
	}
	return tx.beginning(act)
}

func (tx *Tx) lastStanding(own map[stash.Lane]bool, undos bool) (*stash.Event, error) {
	var before int64 = 1 << 62
	lanes, err := json.Marshal(slices.Collect(maps.Keys(own)))
	if err != nil {
		return nil, err
	}
	for {
		var n int64
		var e stash.Event
		found, err := tx.one(`SELECT e.n, `+eventColumns+` WHERE e.n < ? AND
			+e.lane IN (SELECT n FROM lane WHERE name IN (SELECT value FROM json_each(?)))
			ORDER BY e.n DESC LIMIT 1`,
			[]any{before, string(lanes)}, &n, (*string)(&e.Lane), &e.Seq, (*chainScan)(&e.Chain), &e.Raw)
		if err != nil || !found {
			return nil, err
		}
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			return nil, err
		}
		if (undos || e.Kind != stash.KindUndo) && !tx.Undone(e.ActOf()) {
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
	events, err := tx.beginning(act)
	if err != nil {
		return nil, err
	}
	rest, err := tx.actMembers(act)
	return append(events, rest...), err
}

// beginning looks through all events for the one that an act is named by.
func (tx *Tx) beginning(act stash.Act) ([]stash.Event, error) {
	var id stash.EventID
	if id.UnmarshalText([]byte(act)) != nil {
		return nil, nil
	}
	return tx.withID(id)
}

func (tx *Tx) withID(id stash.EventID) ([]stash.Event, error) {
	return tx.query(`SELECT `+eventColumns+` WHERE substr(e.chain, 1, 16) = ?`, id[:])
}

// actMembers reads the events that name an act, all but the one that began it.
func (tx *Tx) actMembers(act stash.Act) ([]stash.Event, error) {
	return tx.query(`SELECT `+eventColumns+` WHERE e.act = ? ORDER BY e.n`, string(act))
}

// EventNamed finds the event whose id begins with the text given, at least
// four characters; false where none or more than one does.
func (tx *Tx) EventNamed(prefix string) (stash.Event, bool, error) {
	var least, most stash.EventID
	lack := len(least.String()) - len(prefix)
	if lack < 0 || len(prefix) < 4 {
		return stash.Event{}, false, nil
	}
	for id, fill := range map[*stash.EventID]string{&least: "a", &most: "7"} {
		if id.UnmarshalText([]byte(prefix+strings.Repeat(fill, lack))) != nil {
			return stash.Event{}, false, nil
		}
	}
	hits, err := tx.query(`SELECT `+eventColumns+` WHERE substr(e.chain, 1, 16) BETWEEN ? AND ? LIMIT 2`, least[:], most[:])
	if err != nil || len(hits) != 1 {
		return stash.Event{}, false, err
	}
	return hits[0], true, nil
}

// Unaware gives the movements of a package whose writers did not know of each other, in
// the order in which they count.
func (tx *Tx) Unaware(p stash.Package) ([]stash.Event, error) {
	var moves []stash.Event
	for _, id := range p.Apart {
		found, err := tx.withID(id)
		if err != nil {
			return nil, err
		}
		moves = append(moves, found...)
	}
	return moves, nil
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

// LastMoved is when the last movement of a package happened that stands. A failure to
// read it fails the transaction.
func (tx *Tx) LastMoved(p stash.Package) time.Time {
	last := time.UnixMilli(p.Last.At)
	if len(p.Heads) == 0 || !last.After(tx.now) {
		return last // nobody asks which of them stand
	}
	past, err := tx.History(stash.Subject(p.ID))
	if err != nil {
		_ = tx.fail(err)
	}
	last = time.Time{}
	for _, e := range past {
		if !e.Undone && e.Moves(p.ID) {
			last = e.At
		}
	}
	return last
}
