package recording

import (
	"context"
	"iter"

	"endsmeet/importers"
	"endsmeet/importers/intake"
)

// aheadRow is a row of a table with what it comes to, or what is wrong with it.
type aheadRow struct {
	rec   importers.Record
	entry intake.Entry
	err   error
}

// aheadRows is how many rows are handed over at once, aheadCells after how many cells
// or bytes of text in them fewer are, aheadParts how many such lots may wait.
const (
	aheadRows  = 128
	aheadCells = 4096
	aheadBytes = 256 << 10
	aheadParts = 8
)

// ahead reads a table and makes its entries in a goroutine of its own, which has
// ended when the loop over it has.
func ahead(ctx context.Context, t *importers.Table, names *intake.Names) iter.Seq[*aheadRow] {
	return func(yield func(*aheadRow) bool) {
		ctx, stop := context.WithCancel(ctx)
		parts := make(chan []aheadRow, aheadParts)
		go func() {
			defer close(parts)
			makeEntries(ctx, t, names, parts)
		}()
		defer func() {
			stop()
			for range parts { // until the reader has ended
			}
		}()
		for part := range parts {
			for i := range part {
				if !yield(&part[i]) {
					return
				}
			}
		}
	}
}

// makeEntries sends the rows of a table in lots until they end or the context
// does.
func makeEntries(ctx context.Context, t *importers.Table, names *intake.Names,
	to chan<- []aheadRow) {
	var maker intake.Maker
	part := make([]aheadRow, 0, aheadRows)
	cells, bytes := 0, 0
	send := func() bool {
		select {
		case to <- part:
			part, cells, bytes = make([]aheadRow, 0, aheadRows), 0, 0
			return true
		case <-ctx.Done():
			return false
		}
	}
	for rec, err := range t.Records() {
		row := aheadRow{rec: rec, err: err}
		if err == nil {
			name, colour := names.Split(&rec)
			row.entry, row.err = maker.Of(&rec, name, colour)
		}
		part = append(part, row)
		n, size := row.size()
		cells, bytes = cells+n, bytes+size
		full := len(part) == aheadRows || cells > aheadCells || bytes > aheadBytes
		if full && !send() {
			return
		}
	}
	if len(part) > 0 {
		send()
	}
}

// size is how many cells beyond the known ones a row has, and how many bytes of text.
func (r *aheadRow) size() (cells, bytes int) {
	for _, n := range r.rec.Notes {
		bytes += len(n.Heading) + len(n.Text)
	}
	if bad, isRow := asRow(r.err); isRow {
		return len(bad.Cells), bad.Size()
	}
	return len(r.rec.Notes), bytes
}
