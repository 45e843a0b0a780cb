package sqlite

import (
	"database/sql"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
)

// VaultConfig reads the document about the shared place; empty where this
// stash exchanges with none.
func (tx *Tx) VaultConfig() (string, error) {
	var config string
	_, err := tx.one(`SELECT config FROM vault WHERE one = 1`, nil, &config)
	return config, err
}

// SetVaultConfig replaces the document about the shared place.
func (tx *Tx) SetVaultConfig(config string) error {
	_, err := tx.exec(`INSERT INTO vault (one, config) VALUES (1, ?) ON CONFLICT (one) DO UPDATE SET config = excluded.config`, config)
	return err
}

// placeTables hold what is known of the shared place, and its keys.
var placeTables = []string{"vault", "publish", "outbox", "own_object", "quarantine", "head_seen"}

// HasKeys says whether the stash holds the keys of a shared place.
func (tx *Tx) HasKeys() (bool, error) {
	config, err := tx.VaultConfig()
	return config != "", err
}

// LeaveVault forgets the shared place and all that was to be done there.
func (tx *Tx) LeaveVault() error {
	for _, table := range placeTables {
		if _, err := tx.exec(`DELETE FROM ` + table); err != nil {
			return err
		}
	}
	return nil
}

// Pending is something to be done in the shared place.
type Pending struct {
	N    int64
	Name string
	// Data is the object to put; nil means that it is to be deleted.
	Data []byte
}

// NextPending is the first thing to be done after the n-th that is due; false
// where there is none.
func (tx *Tx) NextPending(after int64, now time.Time) (Pending, bool, error) {
	var p Pending
	found, err := tx.one(`SELECT n, name, data FROM outbox WHERE n > ? AND due <= ? ORDER BY n LIMIT 1`,
		[]any{after, now.UnixMilli()}, &p.N, &p.Name, &p.Data)
	return p, found, err
}

// Stow has an object put into the shared place.
func (tx *Tx) Stow(name string, data []byte) error {
	_, err := tx.exec(`INSERT INTO outbox (name, data) VALUES (?, ?)`, name, data)
	return err
}

// Doom has an object deleted from the shared place, not before due.
func (tx *Tx) Doom(name string, due time.Time) error {
	_, err := tx.exec(`INSERT INTO outbox (name, due) VALUES (?, ?)`, name, due.UnixMilli())
	return err
}

// DonePending strikes off what has been done.
func (tx *Tx) DonePending(n int64) error {
	_, err := tx.exec(`DELETE FROM outbox WHERE n = ?`, n)
	return err
}

// LastEvent is the number of the newest event here, in the order in which they
// came in.
func (tx *Tx) LastEvent() (n int64, err error) {
	if err := tx.flush(); err != nil {
		return 0, err
	}
	_, err = tx.one(`SELECT coalesce(max(n), 0) FROM event`, nil, &n)
	return n, err
}

// Waits says whether an object waits to be put.
func (tx *Tx) Waits(name string) (bool, error) {
	var n int64
	return tx.one(`SELECT n FROM outbox WHERE name = ? AND data IS NOT NULL LIMIT 1`, []any{name},
		&n)
}

// PendingPuts counts the objects that have yet to be put, and their bytes.
func (tx *Tx) PendingPuts() (objects, size int64, err error) {
	_, err = tx.one(`SELECT count(*), coalesce(sum(length(data)), 0) FROM outbox WHERE data IS NOT NULL`, nil, &objects, &size)
	return objects, size, err
}

// Holds says whether an event is here.
func (tx *Tx) Holds(lane stash.Lane, seq int64, id stash.EventID) (bool, error) {
	var n int64
	return tx.one(`SELECT e.n FROM event e JOIN lane l ON l.n = e.lane WHERE l.name = ? AND e.seq = ? AND substr(e.chain, 1, 16) = ?`,
		[]any{string(lane), seq, id[:]}, &n)
}

// HoldsAny says whether any event of a lane with the number is here; there is
// always one before the first.
func (tx *Tx) HoldsAny(lane stash.Lane, seq int64) (bool, error) {
	if seq == 0 {
		return true, nil
	}
	var n int64
	return tx.one(`SELECT e.n FROM event e JOIN lane l ON l.n = e.lane WHERE l.name = ? AND e.seq = ? LIMIT 1`, []any{string(lane), seq}, &n)
}

// End is a place in a lane: an event's number and hash, or its beginning.
type End struct {
	Seq   int64
	Chain stash.Chain
}

// LaneEnd is where a lane ends here, as Lanes tells it; zero where it is not
// known. It folds nothing, so that it may stand between two calls of Accept.
func (tx *Tx) LaneEnd(lane stash.Lane) (End, error) {
	var end End
	if err := tx.writeTips(); err != nil {
		return end, tx.fail(err)
	}
	_, err := tx.oneOfLog(`SELECT seq, chain FROM lane WHERE name = ?`, []any{string(lane)}, &end.Seq,
		(*chainScan)(&end.Chain))
	return end, err
}

// Published is how much of a lane has been sealed for the shared place.
type Published struct {
	Lane stash.Lane
	Mark End
	// Tip is where a lane ends that this replica does not write any more, or
	// vouches for; nil while it writes the lane.
	Tip *End
}

// Published lists what has been sealed of which lanes.
func (tx *Tx) Published() ([]Published, error) {
	var out []Published
	err := tx.each(`SELECT l.name, p.seq, p.chain, p.tip, p.tip_chain FROM publish p JOIN lane l ON l.n = p.lane ORDER BY l.n`, nil, func(rows *sql.Rows) error {
		var p Published
		var tip sql.NullInt64
		var end End
		err := rows.Scan((*string)(&p.Lane), &p.Mark.Seq, (*chainScan)(&p.Mark.Chain), &tip,
			(*chainScan)(&end.Chain))
		if tip.Valid {
			end.Seq = tip.Int64
			p.Tip = &end
		}
		out = append(out, p)
		return err
	})
	return out, err
}

// Publish notes how much of a lane has been sealed. The lane must have been
// heard of.
func (tx *Tx) Publish(p Published) error {
	var tip, chain any
	if p.Tip != nil {
		tip, chain = p.Tip.Seq, p.Tip.Chain[:]
	}
	_, err := tx.exec(`INSERT INTO publish (lane, seq, chain, tip, tip_chain) SELECT n, ?, ?, ?, ? FROM lane WHERE name = ?
		ON CONFLICT (lane) DO UPDATE SET seq = excluded.seq, chain = excluded.chain, tip = excluded.tip, tip_chain = excluded.tip_chain`,
		p.Mark.Seq, p.Mark.Chain[:], tip, chain, string(p.Lane))
	return err
}

// NoteForeign notes of a lane that came from the shared place that there is
// nothing in it for this replica to pass on, unless more is known of it.
func (tx *Tx) NoteForeign(lane stash.Lane) error {
	_, err := tx.exec(`INSERT INTO publish (lane, seq, chain, tip, tip_chain) SELECT n, 0, zeroblob(32), 0, zeroblob(32) FROM lane WHERE name = ?
		ON CONFLICT DO NOTHING`, string(lane))
	return err
}

// RawEvent is an event as it lies in its lane, not decoded.
type RawEvent struct {
	End
	Raw []byte
}

// RawEvents reads the events of a lane with numbers above after and up to
// last, by number and hash. Where two histories go by one name, both come.
func (tx *Tx) RawEvents(lane stash.Lane, after, last int64) ([]RawEvent, error) {
	var out []RawEvent
	err := tx.each(`SELECT e.seq, e.chain, e.raw FROM event e JOIN lane l ON l.n = e.lane WHERE l.name = ? AND e.seq > ? AND e.seq <= ?
		ORDER BY e.seq, e.chain`, []any{string(lane), after, last}, func(rows *sql.Rows) error {
		var e RawEvent
		err := rows.Scan(&e.Seq, (*chainScan)(&e.Chain), &e.Raw)
		out = append(out, e)
		return err
	})
	return out, err
}

// Branch reads the one history of a lane that ends at tip, from after on, in
// order. It is empty where tip is not here.
func (tx *Tx) Branch(lane stash.Lane, after int64, tip End) ([]RawEvent, error) {
	events, err := tx.RawEvents(lane, after, tip.Seq)
	if err != nil || int64(len(events)) == tip.Seq-after && len(events) > 0 &&
		events[len(events)-1].Chain == tip.Chain {
		return events, err // one history
	}
	before, err := tx.RawEvents(lane, after-1, after)
	if err != nil {
		return nil, err
	}
	return branchOf(lane, before, events, tip), nil
}

// branchOf walks back from tip through events, which stand by number and hash.
func branchOf(lane stash.Lane, before, events []RawEvent, tip End) []RawEvent {
	var back []RawEvent
	want, wanted := tip.Chain, true
	for i := len(events) - 1; i >= 0 && wanted; i-- {
		if events[i].Chain != want {
			continue
		}
		back = append(back, events[i])
		want, wanted = parentOf(lane, events[i], before, events[:i])
	}
	slices.Reverse(back)
	return back
}

// parentOf is the hash of the event that e goes on from.
func parentOf(lane stash.Lane, e RawEvent, before, events []RawEvent) (stash.Chain, bool) {
	for i := len(events) - 1; i >= 0 && events[i].Seq >= e.Seq-1; i-- {
		if events[i].Seq == e.Seq-1 && stash.NextChain(events[i].Chain, lane, e.Raw) == e.Chain {
			return events[i].Chain, true
		}
	}
	for _, b := range before {
		if b.Seq == e.Seq-1 && stash.NextChain(b.Chain, lane, e.Raw) == e.Chain {
			return b.Chain, false
		}
	}
	return stash.Chain{}, false
}

// Ends lists the ends of all histories of a lane: the events that no other
// goes on from.
func (tx *Tx) Ends(lane stash.Lane) ([]End, error) {
	forks, err := tx.forks(lane)
	if err != nil {
		return nil, err
	}
	var last RawEvent
	found, err := tx.one(`SELECT e.seq, e.chain FROM event e JOIN lane l ON l.n = e.lane WHERE l.name = ? ORDER BY e.seq DESC, e.chain DESC LIMIT 1`,
		[]any{string(lane)}, &last.Seq, (*chainScan)(&last.Chain))
	if err != nil || !found {
		return nil, err
	}
	if forks == 0 {
		return []End{last.End}, nil
	}
	return tx.forkedEnds(lane, forks)
}

// forks is the least number of a lane that two events bear, zero for none.
func (tx *Tx) forks(lane stash.Lane) (int64, error) {
	var least int64
	_, err := tx.one(`SELECT coalesce(min(seq), 0) FROM (SELECT e.seq FROM event e JOIN lane l ON l.n = e.lane WHERE l.name = ? GROUP BY e.seq HAVING count(*) > 1)`,
		[]any{string(lane)}, &least)
	return least, err
}

func (tx *Tx) forkedEnds(lane stash.Lane, from int64) ([]End, error) {
	events, err := tx.RawEvents(lane, from-1, 1<<62)
	if err != nil {
		return nil, err
	}
	parents := map[stash.Chain]bool{}
	for i, e := range events {
		if parent, ok := parentOf(lane, e, nil, events[:i]); ok {
			parents[parent] = true
		}
	}
	var ends []End
	for _, e := range events {
		if !parents[e.Chain] {
			ends = append(ends, e.End)
		}
	}
	return ends, nil
}

// OwnObjects lists the objects that this database put under a prefix.
func (tx *Tx) OwnObjects(prefix string) ([]string, error) {
	var names []string
	err := tx.each(`SELECT name FROM own_object WHERE name >= ? AND name < ?`,
		[]any{prefix, prefix + "~"}, func(rows *sql.Rows) error {
			var name string
			err := rows.Scan(&name)
			names = append(names, name)
			return err
		})
	return names, err
}

// NoteOwnObject notes that this database puts an object, or forgets it.
func (tx *Tx) NoteOwnObject(name string, standing bool) error {
	query := `DELETE FROM own_object WHERE name = ?`
	if standing {
		query = `INSERT INTO own_object (name) VALUES (?) ON CONFLICT DO NOTHING`
	}
	_, err := tx.exec(query, name)
	return err
}

// Bad is an object that could not be taken in.
type Bad struct {
	Name    string
	Problem string
	Found   time.Time
}

// Quarantined lists the objects that could not be taken in.
func (tx *Tx) Quarantined() ([]Bad, error) {
	var out []Bad
	err := tx.each(`SELECT name, problem, found FROM quarantine ORDER BY name`, nil,
		func(rows *sql.Rows) error {
			var b Bad
			var found int64
			err := rows.Scan(&b.Name, &b.Problem, &found)
			b.Found = time.UnixMilli(found)
			out = append(out, b)
			return err
		})
	return out, err
}

// Quarantine notes why an object could not be taken in; an empty problem
// forgets it.
func (tx *Tx) Quarantine(name, problem string) error {
	if problem == "" {
		_, err := tx.exec(`DELETE FROM quarantine WHERE name = ?`, name)
		return err
	}
	_, err := tx.exec(`INSERT INTO quarantine (name, problem, found) VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET problem = excluded.problem`,
		name, strings.ToValidUTF8(problem, "?"), tx.now.UnixMilli())
	return err
}
