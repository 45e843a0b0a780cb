package main

import (
	"io"

	"endsmeet/stash"
	"endsmeet/stash/journal"
	"endsmeet/stash/sqlite"
)

// writeJournal writes every movement of every package as a plain-text
// journal.
func writeJournal(tx *sqlite.Tx, w io.Writer) error {
	packages, err := tx.Packages(false)
	if err != nil {
		return err
	}
	pieces, err := tx.Pieces(false)
	if err != nil {
		return err
	}
	names := map[stash.PieceID]string{}
	for _, p := range pieces {
		names[p.ID] = p.Name
	}
	j := journal.NewWriter(w)
	for _, p := range packages {
		postings, err := tx.Postings(p.ID)
		if err != nil {
			return err
		}
		for _, posting := range postings {
			j.Posting(p.Label(), names[posting.Piece], posting)
		}
	}
	return j.Flush()
}
