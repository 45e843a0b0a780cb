package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// holdRow notes which package came from which row. The table only helps to find
// it: what counts is the package's own fact.
func (tx *Tx) holdRow(subject int64, row stash.Row) {
	tx.held.rows.add(rowHash(row.Key), subject)
}

// rowHash is what the table has of the key of a row. Keys of one hash stand side by side.
func rowHash(key string) int64 { return int64(hashOf(key, 0, stash.EventID{})) }

// RowPackage is the package that came from the row with a key; false where
// there is none, or its coming was undone.
func (tx *Tx) RowPackage(key string) (stash.Package, bool, error) {
	var ids []stash.PackageID
	err := tx.each(`SELECT s.id FROM import_row r JOIN subject s ON s.n = r.subject WHERE r.hash = ? ORDER BY s.n DESC`,
		[]any{rowHash(key)}, func(rows *sql.Rows) error {
			var id string
			err := rows.Scan(&id)
			ids = append(ids, stash.PackageID(id))
			return err
		})
	if err != nil {
		return stash.Package{}, false, err
	}
	for _, id := range ids {
		p, found, err := tx.Package(id)
		if err != nil || found && p.Yarn != "" && p.Row != nil && p.Row.Key == key {
			return p, err == nil, err
		}
	}
	return stash.Package{}, false, nil
}

// HasRows says whether any package came from a row.
func (tx *Tx) HasRows() (bool, error) {
	var n int64
	return tx.one(`SELECT subject FROM import_row LIMIT 1`, nil, &n)
}

// Spill writes back what was folded so far and lets go of it, so that an act
// of very many events does not grow in memory with them.
func (tx *Tx) Spill() error {
	if err := tx.flush(); err != nil {
		return err
	}
	clear(tx.views)
	if !tx.all || len(tx.ids) > mostIDs {
		clear(tx.ids)
		tx.all = false
	}
	return nil
}

// mostIDs is how many subjects are held so that none need be looked for.
const mostIDs = 250_000

// mostViews is how many views an act of very many events holds.
const mostViews = 20_000

// spillMany lets go of what was folded, once it is much.
func (tx *Tx) spillMany() error {
	if len(tx.views) < mostViews {
		return nil
	}
	return tx.Spill()
}

// Tags tells every tag that a package carries which is not retired.
func (tx *Tx) Tags(tell func(tag string)) error {
	if err := tx.flush(); err != nil {
		return err
	}
	return tx.each(`SELECT tag FROM view WHERE what = ? AND live = 1 AND tag != ''`,
		[]any{string(stash.WhatPackage)}, func(rows *sql.Rows) error {
			var tag string
			err := rows.Scan(&tag)
			tell(tag)
			return err
		})
}
