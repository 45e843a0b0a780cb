package main

import (
	"strconv"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// weavePieces records that a piece on the loom is to be of as many as --pieces says, on its
// warp as it was wound, if that and its weft are enough for them.
func (k *call) weavePieces(tx *sqlite.Tx, s making.Shelf, piece stash.Piece) (stash.Piece, error) {
	n := k.Int("pieces")
	switch {
	case n < 1:
		return piece, stash.Refuse(stash.CodeUsage, "such as --pieces 2",
			"there is no warp of %d pieces", n)
	case piece.Plan == nil || piece.State != stash.OnLoom:
		return piece, stash.Refuse(stash.CodeRefused, "", "%s is not on the loom", piece.Name)
	case piece.Plan.Shared != nil:
		return piece, stash.Refuse(stash.CodeRefused, "finish each by itself",
			"%s shares its warp with others, whose part is theirs", piece.Name)
	case n == max(1, piece.Plan.Spec.Pieces):
		return piece, stash.Refuse(stash.CodeRefused, "give another number",
			"the warp of %s is of that many already", piece.Name)
	}
	at, err := k.when()
	if err != nil {
		return piece, err
	}
	with, v, err := ofPieces(tx, s, piece, n)
	if err != nil {
		return piece, err
	}
	if err := k.refused(v, piece.Overrides); err != nil {
		return piece, err
	}
	whom, err := whomOf(tx, piece)
	if err != nil {
		return piece, err
	}
	d := stash.Draft{Kind: stash.KindStart, Of: stash.Subject(piece.ID), At: at,
		Replaces: headsOf(s, with.Plan.Packages()),
		Body:     stash.Making{Project: piece.Project, Name: piece.Name, Plan: with.Plan}}
	return with, k.recordMaking(tx, d, v, whom)
}

// ofPieces is a piece on the loom with so many on its warp, and what the gate says of it.
func ofPieces(tx *sqlite.Tx, s making.Shelf, piece stash.Piece, n int) (stash.Piece,
	verdict.Verdict, error) {
	with := piece
	var err error
	if with.Plan, err = making.WithPieces(s, piece, n); err != nil {
		return with, verdict.Verdict{}, err
	}
	own := s.Without(piece).With(with)
	r, err := making.Remaining(own, with, piece.LastTape())
	if err != nil {
		return with, verdict.Verdict{}, err
	}
	v, err := loomVerdict(tx, own, with, r)
	return with, v, err
}

// oneMore is how many pieces a warp can be made to be of, one more than it is: only where the
// gate lets that pass, since it is proposed, and where so much of the warp can be relied on
// after what is planned; else 0.
func oneMore(tx *sqlite.Tx, s making.Shelf, piece stash.Piece, after measure.Length) (int, error) {
	if piece.Plan == nil || piece.Plan.Shared != nil || after < piece.Plan.Length {
		return 0, nil
	}
	n := max(1, piece.Plan.Spec.Pieces) + 1
	_, v, err := ofPieces(tx, s, piece, n)
	if err != nil || v.Refused("", piece.Overrides) != nil {
		return 0, err
	}
	return n, nil
}

// tellUnwoven notes that the warp of a piece that comes off the loom would give another, where
// nobody measured what was left of it.
func (k *call) tellUnwoven(tx *sqlite.Tx, s making.Shelf, piece stash.Piece, m stash.Measures) error {
	if m.Waste > 0 || m.WasteTaut > 0 || m.Wound > 0 || piece.State != stash.OnLoom {
		return nil
	}
	r, err := making.Remaining(s, piece, piece.LastTape())
	if err != nil {
		return nil // a warp of which nothing can be said has nothing to tell
	}
	n, err := oneMore(tx, s, piece, r.AfterSure)
	if n > 0 {
		k.note("the warp of %s would give another: if it is woven too, `endsmeet undo` takes this back, and `%s` comes first",
			stash.Clean(piece.Name), stash.Command("loom --pieces "+strconv.Itoa(n), piece.Name))
	}
	return err
}
