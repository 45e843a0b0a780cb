package main

import (
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func (k *call) answerFinished(tx *sqlite.Tx, before making.Shelf, piece stash.Piece, f stash.Finish,
	r show.Recipient) error {
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	shape, err := takenOf(tx, s, f)
	if err != nil {
		return err
	}
	shape.Piece, shape.ID, shape.Cautions = piece.Name, piece.ID, r.CautionsJSON()
	open, err := tx.Pieces(true)
	if err != nil {
		return err
	}
	for i := range shape.After {
		shape.After[i].Apart = stash.ApartOf(shape.After[i].Pack, open)
	}
	shape.Earlier = show.EarlierDebits(before, piece.ID)
	shape.Compared, shape.NotLearned = before.Compare(piece, f, usedIn(before, piece.ID)),
		before.Unbelieved(piece, f)
	if shape.Asked = []learn.LeftOut{}; len(f.Jumps) > 0 {
		shape.Asked = before.Jumps(piece, f)
	}
	if shape.Verdicts, err = wovenVerdict(tx, piece.ID); err != nil {
		return err
	}
	sums := k.Bool("sums")
	drawn := sums && k.drawn()
	return k.answer(shape,
		func(w io.Writer) { show.PrintFinished(w, shape, r, k.units, sums, drawn) })
}

// takenOf is what a piece took and gave back, and its items as they are now.
func takenOf(tx *sqlite.Tx, s *shelf, f stash.Finish) (show.Finished, error) {
	shape := show.Finished{}
	seen := map[stash.PackageID]bool{}
	for _, d := range f.Debited() {
		p, _, err := tx.Package(d.Package)
		if err != nil {
			return shape, err
		}
		length := &d.Length
		if s.Yarns[p.Yarn].Tex() == 0 {
			length = nil
		}
		shape.Debits = append(shape.Debits, show.StashDebit{ID: d.Package, Tag: p.Label(),
			Role: d.Role, Mass: d.Mass, Length: length,
			Measured: d.Measured})
		if !seen[p.ID] {
			seen[p.ID] = true
			shape.After = append(shape.After, s.item(p))
		}
	}
	for _, t := range f.Thrums {
		p, _, err := tx.Package(t.Package)
		if err != nil {
			return shape, err
		}
		shape.Thrums = append(shape.Thrums, show.StashThrums{ID: t.Package, Mass: t.Mass})
		shape.After = append(shape.After, s.item(p))
	}
	return shape, nil
}
