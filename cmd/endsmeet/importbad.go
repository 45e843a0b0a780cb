package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/stash"
	"endsmeet/stash/aside"
	"endsmeet/stash/measure"
)

// badRows keeps what is wrong with rows and, where asked, the rows themselves.
type badRows struct {
	problems importers.Problems
	path     string
	table    *importers.Table
	rows     []*importers.RowError
	n, size  int // of all bad rows: how many, and their bytes of text
	saved    bool
}

// mostBad is how many bad rows a table may have, mostBadText how many bytes of text
// they may: with more it is no table of yarn, or is read wrongly.
const (
	mostBad     = 100_000
	mostBadText = 32 << 20
)

func newBadRows(t *importers.Table, path string) *badRows { return &badRows{path: path, table: t} }

func (b *badRows) add(row *importers.RowError) error {
	b.problems.Add(row)
	if b.path != "" {
		b.rows = append(b.rows, row)
	}
	return b.tooMany(row)
}

// tooMany refuses a table in which nearly all is bad, and shows a row of it.
func (b *badRows) tooMany(row *importers.RowError) error {
	b.n, b.size = b.n+1, b.size+row.Size()
	if b.n <= mostBad && b.size <= mostBadText {
		return nil
	}
	return stash.Refuse(stash.CodeInput, "check that it is a table of yarn, and that the columns are read rightly",
		"more than %d rows, or %d MB of them, are bad; one of them:\n%s", mostBad, mostBadText>>20, row)
}

// err refuses the whole import where rows are bad, unless they may be skipped.
func (b *badRows) err(skip bool) error {
	err := b.problems.Err()
	if err == nil || skip {
		return nil
	}
	e := stash.Refuse(stash.CodeInput, "mend them, or give --skip-bad to take in the others",
		"%s\n%s", err, badWords(b.problems.Rows))
	e.Cause = err
	return e
}

func badWords(rows int) string { return measure.Counted(rows, "bad row") + "; nothing came in" }

// room refuses a file for bad rows that cannot be made, before a row is read.
func (b *badRows) room(k *call) error {
	if b.path == "" || k.Bool("dry-run") {
		return nil
	}
	if _, err := os.Lstat(b.path); err == nil {
		return show.Unwritable(b.path, fs.ErrExist)
	}
	f, err := aside.File(filepath.Dir(b.path))
	if err != nil {
		return show.Unwritable(b.path, err)
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// save writes the bad rows to their file, whole or not at all; it must not be
// there yet. It runs before the good rows are committed, so that they do not come
// in where the bad ones would be lost. A dry run writes none.
func (b *badRows) save(k *call) error {
	if len(b.rows) == 0 || k.Bool("dry-run") {
		return nil
	}
	err := streamNew(b.path, func(w io.Writer) error {
		out := csvfile.NewRejects(w, b.table)
		for _, row := range b.rows {
			if err := out.Add(row); err != nil {
				return err
			}
		}
		return out.Flush()
	})
	if err != nil {
		return err
	}
	b.saved = true
	return nil
}

// report tells where the bad rows are. Where nothing came in though the good
// rows should have, their file is taken away again.
func (b *badRows) report(k *call, err error) {
	if !b.saved {
		return
	}
	if err != nil && k.Bool("skip-bad") {
		_ = os.Remove(b.path)
		return
	}
	k.note("%s written to %s, to be mended and imported", measure.Counted(len(b.rows), "bad row"),
		b.path)
}
