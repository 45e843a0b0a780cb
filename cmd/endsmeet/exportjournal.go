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

// eachMove tells of all movements of all packages with what they cost, package by
// package.
func eachMove(tx *sqlite.Tx, tell func(books.Move)) error {
	yarns, err := tx.YarnsByID()
	if err != nil {
		return err
	}
	settings, err := tx.Settings()
	if err != nil {
		return err
	}
	return tx.EachPostings(func(p stash.Package, postings []stash.Posting) error {
		for _, m := range books.MovesOf(p, yarns[p.Yarn], postings, settings,
			tx.Now().Location()) {
			tell(m)
		}
		return nil
	})
}

// pieceNames are the names of all pieces.
func pieceNames(tx *sqlite.Tx) (map[stash.PieceID]string, error) {
	pieces, err := tx.Pieces(false)
	names := make(map[stash.PieceID]string, len(pieces))
	for _, p := range pieces {
		names[p.ID] = p.Name
	}
	return names, err
}

// writeJournal writes every movement of every package, and what was paid for pieces,
// as a plain-text journal.
func writeJournal(tx *sqlite.Tx, w io.Writer) error { return journalUntil(tx, w, time.Time{}) }

// journalUntil is writeJournal of what happened before a moment; zero is all.
func journalUntil(tx *sqlite.Tx, w io.Writer, end time.Time) error {
	names, err := pieceNames(tx)
	if err != nil {
		return err
	}
	within := func(day time.Time) bool { return end.IsZero() || day.Before(end) }
	var all books.Ordered
	err = eachMove(tx, func(m books.Move) {
		if within(m.Day) {
			all.Add(m, journal.Entry{Day: m.Day, Tag: m.Package.Label(),
				Piece: names[m.Posting.Piece], Event: m.Posting.Event, Parts: m.Entries,
				Priced: m.Priced, Currency: m.Currency}.Append)
		}
	})
	if err != nil {
		return err
	}
	sales, err := soldPieces(tx)
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w, journal.Head); err != nil {
		return err
	}
	if _, err := all.WriteTo(w); err != nil {
		return err
	}
	for _, s := range sales {
		if within(s.Day) {
			if _, err := w.Write(s.Append(nil)); err != nil {
				return err
			}
		}
	}
	return nil
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
