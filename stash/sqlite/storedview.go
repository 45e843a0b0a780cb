package sqlite

import (
	"database/sql"
	"fmt"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash"
)

// storedView is a view as it lies in the file. The state is empty where the view is of
// a package that nothing but its receipt tells of: it is read out of that event.
type storedView struct {
	what    stash.What
	id      stash.Subject
	state   []byte
	receipt stash.Event
}

// withReceipt joins a view to the event of a state that is empty.
var withReceipt = fmt.Sprintf(` LEFT JOIN touch t ON v.state = x'' AND t.subject = v.subject AND t.class = %d
	LEFT JOIN event e ON e.n = t.event`, stash.ClassMove)

// viewColumns are the columns of a stored view.
var viewColumns = `v.what, v.id, v.state, coalesce(l.name, ''), coalesce(e.seq, 0), e.chain, e.raw
	FROM view v` + withReceipt + ` LEFT JOIN lane l ON l.n = e.lane`

// viewFacts are the facts in a view that is joined with its receipt.
const viewFacts = `iif(v.state = x'', CAST(e.raw AS TEXT) -> '$.body.fields', CAST(v.state AS TEXT))`

// columns are where a row of viewColumns is read into.
func (s *storedView) columns() []any {
	e := &s.receipt
	return []any{(*string)(&s.what), (*string)(&s.id), &s.state, (*string)(&e.Lane), &e.Seq,
		(*chainScan)(&e.Chain), &e.Raw}
}

// storedView reads the view of a subject as the file has it, whatever is held back.
func (tx *Tx) storedView(n int64) (s storedView, found bool, err error) {
	found, err = tx.oneNow(`SELECT `+viewColumns+` WHERE v.subject = ?`, []any{n}, s.columns()...)
	return s, found, err
}

// scanView reads a row of viewColumns.
func scanView(rows *sql.Rows) (s storedView, err error) {
	err = rows.Scan(s.columns()...)
	return s, err
}

// decode reads the state into a view of its kind.
func (s storedView) decode(into any) error {
	p, ok := into.(*stash.Package)
	if len(s.state) > 0 || !ok {
		return jsonv2.Unmarshal(s.state, into)
	}
	if *p, ok = stash.OfReceipt(s.receipt); !ok {
		return fmt.Errorf("%s %s has no state", s.what, s.id)
	}
	return nil
}

// fromReceipt takes the state of a job from its receipt, where nothing else tells of the
// package and the receipt stands as it was written.
func (j *foldJob) fromReceipt(env stash.Env) bool {
	if j.what != stash.WhatPackage || len(j.facts) != 1 || len(j.moves) != 1 ||
		j.facts[0].Chain != j.moves[0].Chain || env.Undone(j.facts[0].ActOf()) {
		return false
	}
	p, ok := stash.OfReceipt(j.facts[0])
	if !ok || p.ID != stash.PackageID(j.id) || !p.Arrived.Equal(j.facts[0].At) {
		return false
	}
	j.state, j.raw = &p, []byte{}
	return true
}
