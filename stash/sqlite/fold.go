package sqlite

import (
	"endsmeet/stash"
)

// entry is a subject's view in memory, with what has yet to be folded in.
type entry struct {
	subject stash.Subject
	what    stash.What
	state   any  // *stash.Package, *stash.Yarn, ..., nil until folded
	stale   bool // to be folded from nothing before it is read
	dirty   bool // to be written back
	fresh   bool // not yet in the database
	receipt bool // the state is what a receipt alone makes, see fromReceipt
	// young holds all the events of a subject that came into being in this
	// transaction, so that they need not be read again; nil once they are many.
	newcomers []newcomer
}

type newcomer struct {
	class stash.Class
	event stash.Event
}

// mostYoung is how many events of a new subject are held.
const mostNewcomers = 8

// grow holds one more event of a new subject.
func (v *entry) grow(class stash.Class, e stash.Event) {
	if v.newcomers == nil {
		return
	}
	if v.newcomers = append(v.newcomers, newcomer{class, e}); len(v.newcomers) > mostNewcomers {
		v.newcomers = nil
	}
}

// appendNewcomers adds the events of a class to those given.
func (v *entry) appendNewcomers(class stash.Class, events []stash.Event) []stash.Event {
	for _, y := range v.newcomers {
		if y.class == class {
			events = append(events, y.event)
		}
	}
	return events
}

// fold brings an event into the views of all subjects that it touches.
func (tx *Tx) fold(n int64, e stash.Event) error {
	for _, t := range stash.Touches(e.Line) {
		if err := tx.touch(n, e, t); err != nil {
			return err
		}
	}
	switch e.Kind {
	case stash.KindUndo:
		return tx.foldUndo(n, e)
	case stash.KindRedate:
		tx.dates = nil
		return tx.unfoldDates(e)
	}
	return nil
}

func (tx *Tx) touch(n int64, e stash.Event, t stash.Touch) error {
	subject, isNew, err := tx.subject(t.Subject)
	if err != nil {
		return err
	}
	if err := tx.holdTouch(touchRow{subject, t.Class, n}); err != nil {
		return err
	}
	v, err := tx.entry(subject, t.Subject, isNew)
	if err != nil {
		return err
	}
	if v.what == stash.WhatPackage && len(v.newcomers) == mostNewcomers && v.stale {
		// From here on each movement is applied to what it is now.
		if err := tx.resolve(subject, v); err != nil {
			return err
		}
	}
	v.grow(t.Class, e)
	v.what = v.what.Prefer(t.What)
	v.dirty = true
	if p, ok := v.state.(*stash.Package); ok && !v.stale && t.Class == stash.ClassMove &&
		p.Follows(e) {
		p.Apply(e, tx)
		v.receipt = false
		return nil
	}
	v.stale = true
	if least := finishesFor(e.Kind); t.Class == stash.ClassMake && least > 0 {
		return tx.lifeChanged(subject, least)
	}
	return nil
}

// finishesFor is how many finishes a piece has at least, where an event of this
// kind changes what its packages are folded from; 0 where it never does.
func finishesFor(k stash.Kind) int {
	switch k {
	case stash.KindFinish:
		return 2
	case stash.KindStart, stash.KindAbandon:
		return 1
	}
	return 0
}

// subject gives the number of a subject id, making one for a new id.
func (tx *Tx) subject(id stash.Subject) (n int64, isNew bool, err error) {
	if n, ok := tx.ids[id]; ok {
		return n, false, nil
	}
	if err := tx.countSubjects(); err != nil {
		return 0, false, err
	}
	found := false
	if _, drawn := tx.drawn[id]; drawn {
		delete(tx.drawn, id)
	} else if !tx.all {
		// What is held back is among tx.ids.
		if found, err = tx.oneNow(`SELECT n FROM subject WHERE id = ?`, []any{string(id)},
			&n); err != nil {
			return 0, false, err
		}
	}
	if !found {
		n, err = tx.holdSubject(id)
	}
	if err == nil {
		tx.ids[id] = n
	}
	return n, !found, err
}

// entry gives the view of a subject, from memory or the database.
func (tx *Tx) entry(n int64, id stash.Subject, isNew bool) (*entry, error) {
	if v, ok := tx.views[n]; ok {
		return v, nil
	}
	v := &entry{subject: id, fresh: isNew, stale: isNew}
	tx.views[n] = v
	if isNew {
		v.newcomers = make([]newcomer, 0, 2)
		return v, nil
	}
	// What is held back is among tx.views.
	s, found, err := tx.storedView(n)
	if err != nil {
		return nil, err
	}
	if !found {
		v.fresh, v.stale = true, true
		return v, nil
	}
	v.what, v.receipt = s.what, len(s.state) == 0
	v.state, err = s.decodeAny()
	return v, err
}

// decodeAny reads the state of a view into the type of its kind.
func (s storedView) decodeAny() (any, error) {
	var state any
	switch s.what {
	case stash.WhatPackage:
		state = new(stash.Package)
	case stash.WhatYarn:
		state = new(stash.Yarn)
	case stash.WhatProject:
		state = new(stash.Project)
	case stash.WhatPiece:
		state = new(stash.Piece)
	case stash.WhatPerson:
		state = new(stash.Person)
	case stash.WhatPhoto:
		state = new(stash.Photo)
	default:
		state = new(stash.Fields)
	}
	return state, s.decode(state)
}

// resolve folds a stale view from nothing.
func (tx *Tx) resolve(n int64, v *entry) error {
	if !v.stale {
		return nil
	}
	j := &foldJob{n: n, id: v.subject, what: v.what}
	if _, err := tx.readEvents([]*foldJob{j}); err != nil {
		return err
	}
	dates, err := tx.redates()
	if err != nil {
		return err
	}
	if err := j.decode(dates); err != nil {
		return err
	}
	if v.receipt = j.fromReceipt(tx); !v.receipt {
		j.state = foldEvents(v.subject, v.what, j.facts, j.moves, tx)
	}
	v.state, v.stale = j.state, false
	return nil
}

// lifeChanged has every package folded anew that any event of a piece touches,
// since which finish counts may have changed, or whether it is on the loom; unless
// it has fewer finishes than least, with which nothing can have changed.
func (tx *Tx) lifeChanged(piece int64, least int) error {
	events, err := tx.eventsOf(piece, stash.ClassMake)
	if err != nil {
		return err
	}
	finishes := 0
	for _, e := range events {
		if e.Kind == stash.KindFinish {
			finishes++
		}
	}
	if finishes < least {
		return nil
	}
	for _, e := range events {
		if err := tx.staleAll(e); err != nil {
			return err
		}
	}
	return nil
}

// staleAll has every subject that an event touches folded anew.
func (tx *Tx) staleAll(e stash.Event) error {
	for _, t := range stash.Touches(e.Line) {
		n, isNew, err := tx.subject(t.Subject)
		if err != nil {
			return err
		}
		v, err := tx.entry(n, t.Subject, isNew)
		if err != nil {
			return err
		}
		v.what = v.what.Prefer(t.What)
		v.stale, v.dirty = true, true
	}
	return nil
}

// Life is what is known of the making of a piece (stash.Env). A failure
// to read it fails the transaction.
func (tx *Tx) Life(id stash.PieceID) stash.Life {
	var n int64
	found, err := tx.one(`SELECT n FROM subject WHERE id = ?`, []any{string(id)}, &n)
	var events []stash.Event
	if err == nil && found {
		events, err = tx.eventsOf(n, stash.ClassMake)
	}
	if err != nil {
		_ = tx.fail(err)
	}
	return stash.LifeOf(events, tx)
}
