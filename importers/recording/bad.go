package recording

import (
	"errors"
	"io"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Bad keeps what is wrong with rows and, where Keep says so, the rows themselves.
type Bad struct {
	Keep     bool
	Problems importers.Problems
	rows     []*importers.RowError
	n, size  int // of all bad rows: how many, and their bytes of text
}

// mostBad is how many bad rows a table may have, mostBadText how many bytes of text
// they may: with more it is no table of yarn, or is read wrongly.
const (
	mostBad     = 100_000
	mostBadText = 32 << 20
)

func (b *Bad) add(row *importers.RowError) error {
	b.Problems.Add(row)
	if b.Keep {
		b.rows = append(b.rows, row)
	}
	return b.tooMany(row)
}

// tooMany refuses a table in which nearly all is bad, and shows a row of it.
func (b *Bad) tooMany(row *importers.RowError) error {
	b.n, b.size = b.n+1, b.size+row.Size()
	if b.n <= mostBad && b.size <= mostBadText {
		return nil
	}
	return stash.Refuse(stash.CodeInput, "check that it is a table of yarn, and that the columns are read rightly",
		"more than %d rows, or %d MB of them, are bad; one of them:\n%s", mostBad, mostBadText>>20, row)
}

// Err refuses the whole import where rows are bad, with what to do.
func (b *Bad) Err(hint string) error {
	err := b.Problems.Err()
	if err == nil {
		return nil
	}
	e := stash.Refuse(stash.CodeInput, hint, "%s\n%s; nothing came in", err,
		measure.Counted(b.Problems.Rows, "bad row"))
	e.Cause = err
	return e
}

// Rows is how many rows are kept.
func (b *Bad) Rows() int { return len(b.rows) }

// Write writes the rows that are kept as a table like the one they came from, to be
// mended and imported.
func (b *Bad) Write(w io.Writer, t *importers.Table) error {
	out := csvfile.NewRejects(w, t)
	for _, row := range b.rows {
		if err := out.Add(row); err != nil {
			return err
		}
	}
	return out.Flush()
}

// asRow finds what is wrong with a row; false for an error that is of no row.
func asRow(err error) (*importers.RowError, bool) {
	var row *importers.RowError
	return row, errors.As(err, &row)
}
