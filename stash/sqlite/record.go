package sqlite

import (
	"crypto/ed25519"
	"database/sql"
	"fmt"
	"strconv"
	"time"

	jsonv1 "github.com/go-json-experiment/json/v1"

	"endsmeet/stash"
)

// ownTip is where the next event of a lane of this replica goes on.
type ownTip struct {
	n     int64
	name  stash.Lane
	seq   int64
	chain stash.Chain
}

// Record appends an event to this replica's lane and folds it. A draft
// without a time happened now.
func (tx *Tx) Record(d stash.Draft) (stash.Event, error) {
	tip, err := tx.ownTip(d.Private)
	if err != nil {
		return stash.Event{}, err
	}
	event, err := tx.compose(d, tip)
	if err != nil {
		return stash.Event{}, err
	}
	if tx.act == "" {
		tx.act = event.ActOf()
	}
	tip.seq, tip.chain = event.Seq, event.Chain
	tx.clock, tx.moved = event.Clock, true
	if err := tx.append(tip.n, event); err != nil {
		return event, tx.fail(err) // the act is not whole any more
	}
	return event, nil
}

// Deed is what a command says of all that it records.
type Deed struct {
	// At is when it happened, for drafts that give no time; zero is now.
	At time.Time
	// Once is the key under which the command is recorded only once, and
	// Command what it is bound to.
	Once, Command string
}

// Begin says what command the transaction records, before its first event.
func (tx *Tx) Begin(d Deed) { tx.deed = d }

// RecordedUnder finds the first event that was recorded under a key.
func (tx *Tx) RecordedUnder(key string) (stash.Event, bool, error) {
	events, err := tx.query(`SELECT `+eventColumns+` JOIN once o ON o.event = e.n WHERE o.key = ?`,
		key)
	if err != nil || len(events) == 0 {
		return stash.Event{}, false, err
	}
	return events[0], true, nil
}

// Act is the act of this transaction, empty until something was recorded.
func (tx *Tx) Act() stash.Act { return tx.act }

func (tx *Tx) compose(d stash.Draft, tip *ownTip) (stash.Event, error) {
	last, err := tx.lastClock()
	if err != nil {
		return stash.Event{}, err
	}
	body, err := jsonv1.Marshal(d.Body)
	if err != nil {
		return stash.Event{}, fmt.Errorf("event %s: %w", d.Kind, err)
	}
	at := d.At
	if at.IsZero() {
		at = tx.deed.At
	}
	if at.IsZero() {
		at = tx.now
	}
	line := stash.Line{
		Version: stash.LineVersion, Clock: last.Next(tx.now), At: at.Truncate(time.Millisecond),
		Kind: d.Kind, Of: d.Of,
		Act: tx.act, Replaces: d.Replaces, Body: body,
	}
	if said := tx.deed.At; at.After(tx.now) && !said.IsZero() && !said.After(tx.now) {
		line.Meant = said.Truncate(time.Millisecond)
	}
	if tx.act == "" {
		line.Once, line.OnceFor = tx.deed.Once, tx.deed.Command
	}
	raw, err := stash.EncodeLine(line)
	if err != nil {
		return stash.Event{}, err
	}
	// What is folded is what was stored: a time of long ago may have an offset
	// that no line can hold, and a draft may lack what a line must have.
	if line, err = stash.DecodeLine(raw); err != nil {
		return stash.Event{}, err
	}
	chain := stash.NextChain(tip.chain, tip.name, raw)
	return stash.Event{Lane: tip.name, Seq: tip.seq + 1, Chain: chain, Line: line, Raw: raw}, nil
}

// ownTip reads the tip of this replica's lane inside the transaction.
func (tx *Tx) ownTip(private bool) (*ownTip, error) {
	if tip := tx.lanes[private]; tip != nil {
		return tip, nil
	}
	key, err := tx.store.ownLane(private)
	if err != nil {
		return nil, err
	}
	tip := &ownTip{name: key.Lane}
	var chain []byte
	found, err := tx.one(`SELECT n, seq, chain FROM lane WHERE name = ?`, []any{string(key.Lane)},
		&tip.n, &tip.seq, &chain)
	if err != nil {
		return nil, err
	}
	if found {
		copy(tip.chain[:], chain)
	} else {
		public := ed25519.NewKeyFromSeed(key.Seed).Public().(ed25519.PublicKey)
		tip.n, err = tx.insert(`INSERT INTO lane (name, private, key) VALUES (?, ?, ?)`,
			string(key.Lane), private, []byte(public))
	}
	tx.lanes[private] = tip
	return tip, err
}

// append stores an event under its lane and folds it.
func (tx *Tx) append(lane int64, e stash.Event) error {
	n, err := tx.holdEvent(lane, e)
	if err != nil {
		return err
	}
	dates, err := tx.redates()
	if err != nil {
		return err
	}
	return tx.foldStored(n, dates.mended(e))
}

// foldStored folds an event that is stored under number n.
func (tx *Tx) foldStored(n int64, e stash.Event) error {
	if e.Once != "" {
		if _, err := tx.exec(`INSERT INTO once (key, event) VALUES (?, ?) ON CONFLICT DO NOTHING`,
			e.Once, n); err != nil {
			return err
		}
	}
	return tx.fold(n, e)
}

// actColumn is the act that an event names; nil where it begins one.
func actColumn(e stash.Event) any {
	if e.Act == "" {
		return nil
	}
	return string(e.Act)
}

// flush writes the lanes' tips, the clock and the views back.
func (tx *Tx) flush() error {
	if tx.broken != nil {
		return tx.broken
	}
	if !tx.moved {
		return nil
	}
	if err := tx.writeTips(); err != nil {
		return err
	}
	if err := tx.writeClock(); err != nil {
		return err
	}
	if err := tx.flushViews(); err != nil {
		return tx.fail(err)
	}
	return tx.broken
}

// writeClock notes the clock, if anything moved it.
func (tx *Tx) writeClock() error {
	if tx.clock == 0 {
		return nil
	}
	return tx.setMeta("clock", strconv.FormatInt(int64(tx.clock), 10))
}

// writeTips notes where the lanes of this replica go on.
func (tx *Tx) writeTips() error {
	for _, tip := range tx.lanes {
		if err := tx.writeTip(tip); err != nil {
			return err
		}
	}
	return nil
}

func (tx *Tx) writeTip(tip *ownTip) error {
	// No row of another table hangs on it.
	_, err := tx.execNow(`UPDATE lane SET seq = ?, chain = ? WHERE n = ?`, tip.seq, tip.chain[:],
		tip.n)
	return err
}

const (
	eventOf      = `l.name, e.seq, e.chain, e.raw`
	eventColumns = eventOf + ` FROM event e JOIN lane l ON l.n = e.lane`
)

// scan reads a row of eventColumns, behind columns for the targets given.
func (r *redates) scan(rows *sql.Rows, before ...any) (stash.Event, error) {
	e, err := scanRaw(rows, before...)
	if err == nil {
		e.Line, err = stash.DecodeLine(e.Raw)
	}
	return r.mended(e), err
}

// scanRaw is scan without reading the line.
func scanRaw(rows *sql.Rows, before ...any) (stash.Event, error) {
	var e stash.Event
	var lane string
	var chain []byte
	if err := rows.Scan(append(before, &lane, &e.Seq, &chain, &e.Raw)...); err != nil {
		return e, err
	}
	e.Lane = stash.Lane(lane)
	copy(e.Chain[:], chain)
	return e, nil
}

// eventsOf reads the events of some classes that a subject is folded from.
func (tx *Tx) eventsOf(subject int64, classes ...stash.Class) ([]stash.Event, error) {
	events, err := tx.rawEventsOf(subject, classes...)
	if err != nil {
		return nil, err
	}
	dates, err := tx.redates()
	if err != nil {
		return nil, err
	}
	return events, dates.decode(events)
}

// rawEventsOf is eventsOf without reading the lines.
func (tx *Tx) rawEventsOf(subject int64, classes ...stash.Class) (events []stash.Event, err error) {
	v := tx.views[subject]
	for _, class := range classes {
		if v != nil && v.newcomers != nil {
			events = v.appendNewcomers(class, events)
			continue
		}
		err = tx.each(`SELECT `+eventColumns+` JOIN touch t ON t.event = e.n WHERE t.subject = ? AND t.class = ?`,
			[]any{subject, int(class)}, func(rows *sql.Rows) error {
				e, err := scanRaw(rows)
				events = append(events, e)
				return err
			})
		if err != nil {
			return nil, err
		}
	}
	return events, nil
}

// SetFacts records facts of something, which replace every value that stands now.
func (tx *Tx) SetFacts(what stash.What, id stash.Subject, fields stash.Fields) error {
	facts, err := tx.Facts(id)
	if err != nil {
		return err
	}
	_, err = tx.Record(stash.Draft{Kind: stash.KindSet, Of: id, Replaces: facts.Seen(fields),
		Private: what == stash.WhatPerson, Body: stash.Set{What: what, Fields: fields}})
	return err
}
