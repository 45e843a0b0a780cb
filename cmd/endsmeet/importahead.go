package main

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

// aheadRows is how many rows are handed over at once, aheadParts how many such
// lots may wait.
const (
	aheadRows  = 128
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
	send := func() bool {
		select {
		case to <- part:
			part = make([]aheadRow, 0, aheadRows)
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
		if part = append(part, row); len(part) == aheadRows && !send() {
			return
		}
	}
	if len(part) > 0 {
		send()
	}
}
