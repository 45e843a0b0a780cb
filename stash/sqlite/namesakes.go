package sqlite

import (
	"database/sql"
	"strings"

	"endsmeet/stash"
)

// markNamesakes marks the packages whose tag another one on the shelf bears too:
// two machines that did not know of each other gave it. Their labels then say
// which is which.
func (tx *Tx) markNamesakes(packages ...*stash.Package) error {
	twice, err := tx.tagsTwice()
	if err != nil || len(twice) == 0 {
		return err
	}
	for _, p := range packages {
		p.Namesake = !p.Retired && twice[strings.ToLower(p.Tag)]
	}
	return nil
}

// tagsTwice are the tags, in lower case, of more than one package on the shelf.
// A stash that only one machine writes has none: recording refuses them.
func (tx *Tx) tagsTwice() (map[string]bool, error) {
	if tx.twice != nil {
		return tx.twice, nil
	}
	twice := map[string]bool{}
	var lanes int64
	if _, err := tx.one(`SELECT count(*) FROM lane WHERE NOT private`, nil, &lanes); err != nil || lanes < 2 {
		return twice, err
	}
	err := tx.each(`SELECT lower(tag) FROM view WHERE what = ? AND live = 1 AND tag <> '' GROUP BY 1 HAVING count(*) > 1`,
		[]any{string(stash.WhatPackage)}, func(rows *sql.Rows) error {
			var tag string
			err := rows.Scan(&tag)
			twice[tag] = true
			return err
		})
	tx.twice = twice
	return twice, err
}
