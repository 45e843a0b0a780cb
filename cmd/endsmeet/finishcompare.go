package main

import (
	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// compareLater sets a piece against its plan when it has long been finished.
func compareLater(tx *sqlite.Tx, piece stash.Piece) ([]learn.Row, error) {
	if piece.Finish == nil || piece.Plan == nil {
		return nil, stash.Refuse(stash.CodeUsage,
			"endsmeet finish records what it took and measures",
			"%s is not finished, so that nothing can be set against its plan", piece.Name)
	}
	s, err := shelfWithout(tx, piece.ID)
	if err != nil {
		return nil, err
	}
	earlier := usedIn(s, piece.ID)
	for _, d := range piece.Finish.Debited() {
		earlier[d.Package] -= d.Mass
	}
	return s.Compare(piece, *piece.Finish, earlier), nil
}

// usedIn is what each package of a shelf has given to a piece.
func usedIn(s making.Shelf, piece stash.PieceID) map[stash.PackageID]measure.Mass {
	used := map[stash.PackageID]measure.Mass{}
	for _, p := range s.Packages {
		if mass := p.UsedIn[piece]; mass != 0 {
			used[p.ID] = mass
		}
	}
	return used
}
