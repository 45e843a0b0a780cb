package main

import (
	"errors"
	"os"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/stash"
)

// badRows keeps what is wrong with rows and, where asked, the rows themselves.
type badRows struct {
	problems importers.Problems
	path     string
	table    *importers.Table
	rows     []*importers.RowError
}

// keepRows is how many bad rows are kept to be written to a file.
const keepRows = 100_000

func newBadRows(t *importers.Table, path string) *badRows { return &badRows{path: path, table: t} }

func (b *badRows) add(row *importers.RowError) error {
	b.problems.Add(row)
	if b.path == "" {
		return nil
	}
	if len(b.rows) >= keepRows {
		return stash.Refuse(stash.CodeInput, "check that the columns are read rightly", "more than %d rows are bad", keepRows)
	}
	b.rows = append(b.rows, row)
	return nil
}

// err refuses the whole import where rows are bad, unless they may be skipped.
func (b *badRows) err(skip bool) error {
	err := b.problems.Err()
	if err == nil || skip {
		return nil
	}
	e := stash.Refuse(stash.CodeInput, "mend them, or give --skip-bad to take in the others", "%s\n%s", err, badWords(b.problems.Rows))
	e.Cause = err
	return e
}

func badWords(rows int) string { return plural(rows, "bad row") + "; nothing came in" }

// save writes the bad rows to their file, which must not be there yet. A dry run
// writes none.
func (b *badRows) save(k *call) error {
	if len(b.rows) == 0 || k.Bool("dry-run") {
		return nil
	}
	f, err := os.OpenFile(b.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return unwritable(b.path, err)
	}
	out := csvfile.NewRejects(f, b.table)
	for _, row := range b.rows {
		if err == nil {
			err = out.Add(row)
		}
	}
	if err = errors.Join(err, out.Flush(), f.Sync(), f.Close()); err != nil {
		return unwritable(b.path, err)
	}
	k.note("%s written to %s, to be mended and imported", plural(len(b.rows), "bad row"), b.path)
	return nil
}

// unwritable says that a file cannot be made.
func unwritable(path string, err error) error {
	hint, problem := "check the folder and the room on the disk", "%s cannot be written"
	if os.IsExist(err) {
		hint, problem = "name another, it is never written over", "there is a file %s already"
	}
	e := stash.Refuse(stash.CodeStorage, hint, problem, stash.Clean(path))
	e.Cause = err
	return e
}
