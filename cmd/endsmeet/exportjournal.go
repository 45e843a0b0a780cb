package main

import (
	"io"
	"slices"
	"time"

	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/journal"
	"endsmeet/stash/sqlite"
)

// ledgerMoves are all movements of all packages with what they cost, by day, and the
// names of the pieces that they are of.
func ledgerMoves(tx *sqlite.Tx) ([]books.Move, map[stash.PieceID]string, error) {
	packages, err := tx.Packages(false)
	if err != nil {
		return nil, nil, err
	}
	yarns, err := tx.YarnsByID()
	if err != nil {
		return nil, nil, err
	}
	settings, err := tx.Settings()
	if err != nil {
		return nil, nil, err
	}
	var moves []books.Move
	for _, p := range packages {
		postings, err := tx.Postings(p.ID)
		if err != nil {
			return nil, nil, err
		}
		moves = append(moves, books.MovesOf(p, yarns[p.Yarn], postings, settings,
			tx.Now().Location())...)
	}
	books.InOrder(moves)
	pieces, err := tx.Pieces(false)
	names := map[stash.PieceID]string{}
	for _, p := range pieces {
		names[p.ID] = p.Name
	}
	return moves, names, err
}

// writeJournal writes every movement of every package, and what was paid for pieces,
// as a plain-text journal.
func writeJournal(tx *sqlite.Tx, w io.Writer) error { return journalUntil(tx, w, time.Time{}) }

// journalUntil is writeJournal of what happened before a moment; zero is all.
func journalUntil(tx *sqlite.Tx, w io.Writer, end time.Time) error {
	moves, names, err := ledgerMoves(tx)
	if err != nil {
		return err
	}
	j := journal.NewWriter(w)
	for _, m := range moves {
		if end.IsZero() || m.Day.Before(end) {
			j.Write(journal.Entry{Day: m.Day, Tag: m.Package.Label(), Piece: names[m.Posting.Piece],
				Event: m.Posting.Event, Parts: m.Entries, Priced: m.Priced, Currency: m.Currency})
		}
	}
	sales, err := soldPieces(tx)
	for _, s := range sales {
		if end.IsZero() || s.Day.Before(end) {
			j.Sale(s)
		}
	}
	if err != nil {
		return err
	}
	return j.Flush()
}

// soldPieces are the pieces that were sold, by day.
func soldPieces(tx *sqlite.Tx) ([]journal.Sale, error) {
	settings, err := tx.Settings()
	if err != nil {
		return nil, err
	}
	pieces, err := tx.Pieces(false)
	var out []journal.Sale
	for _, p := range pieces {
		for _, x := range p.Passed {
			if x.Price != nil {
				out = append(out, journal.Sale{Day: x.At.In(tx.Now().Location()), Piece: p.Name,
					Milli: x.Price.Milli, Currency: settings.CurrencyOf(x.Price)})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b journal.Sale) int { return a.Day.Compare(b.Day) })
	return out, err
}
