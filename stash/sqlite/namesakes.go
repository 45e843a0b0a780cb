package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// sharedTags are the tags, as they are compared, of more than one package on the
// shelf: two machines that did not know of each other gave them. Labels then say which
// is which.
type sharedTags map[string]bool

// has says whether a package bears one.
func (twice sharedTags) has(p stash.Package) bool {
	return len(twice) > 0 && !p.Retired && twice[stash.Fold(p.Tag)]
}

// tagsTwice reads the tags that several packages share.
func (tx *Tx) tagsTwice() (sharedTags, error) {
	shared, err := tx.manyWrite()
	if err != nil || !shared {
		return nil, err
	}
	if err := tx.flush(); err != nil {
		return nil, err
	}
	twice := sharedTags{}
	return twice, tx.each(`SELECT word FROM view WHERE word != '' AND +what = ? AND +live = 1 GROUP BY word HAVING count(*) > 1`,
		[]any{string(stash.WhatPackage)}, func(rows *sql.Rows) error {
			var tag string
			err := rows.Scan(&tag)
			twice[tag] = true
			return err
		})
}

// hasNamesake says of one package whether it bears a shared tag.
func (tx *Tx) hasNamesake(p stash.Package) (bool, error) {
	if p.Retired || p.Tag == "" {
		return false, nil
	}
	shared, err := tx.manyWrite()
	if err != nil || !shared {
		return false, err
	}
	var n int64
	_, err = tx.one(`SELECT count(*) FROM view WHERE word != '' AND word = ? AND +what = ? AND +live = 1`, []any{stash.Fold(p.Tag), string(stash.WhatPackage)}, &n)
	return n > 1, err
}

// manyWrite says whether more than one machine has written the stash. In that of
// one no tag is there twice: recording refuses it.
func (tx *Tx) manyWrite() (bool, error) {
	var lanes int64
	_, err := tx.one(`SELECT count(*) FROM lane WHERE NOT private`, nil, &lanes)
	return lanes > 1, err
}
