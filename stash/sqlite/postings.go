package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// manyPackages is how many packages are found at once.
const manyPackages = 8192

// EachPostings tells of all packages, one after the other, with what each movement
// changed in it.
func (tx *Tx) EachPostings(tell func(stash.Package, []stash.Posting) error) error {
	twice, err := tx.tagsTwice()
	if err != nil {
		return err
	}
	if err := tx.flush(); err != nil {
		return err
	}
	for last := int64(-1); ; {
		jobs, err := tx.packagesAfter(last)
		if err != nil || len(jobs) == 0 {
			return err
		}
		last = jobs[len(jobs)-1].n
		err = tx.foldAll(jobs, (*foldJob).replay, func(j *foldJob) error {
			p := *j.state.(*stash.Package)
			p.Namesake = twice.has(p)
			return tell(p, j.postings)
		})
		if err != nil {
			return err
		}
	}
}

// packagesAfter are jobs for the next packages, in the order of their numbers.
func (tx *Tx) packagesAfter(last int64) (jobs []*foldJob, err error) {
	err = tx.each(`SELECT subject, id FROM view WHERE +what = ? AND subject > ? ORDER BY subject LIMIT ?`,
		[]any{string(stash.WhatPackage), last, manyPackages}, func(rows *sql.Rows) error {
			j := &foldJob{what: stash.WhatPackage}
			err := rows.Scan(&j.n, (*string)(&j.id))
			jobs = append(jobs, j)
			return err
		})
	return jobs, err
}
