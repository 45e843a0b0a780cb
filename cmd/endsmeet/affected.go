package main

import (
	"cmp"
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// affectedBy makes a change and gives the open pieces that it concerns.
func affectedBy(tx *sqlite.Tx, change func() error) ([]show.Affected, error) {
	before, err := standing(tx)
	if err != nil {
		return nil, err
	}
	if err := change(); err != nil {
		return nil, err
	}
	return before.affected(tx)
}

// standings are the answers of all open pieces at one moment.
type standings map[stash.PieceID]pieceStanding

type pieceStanding struct {
	piece  stash.Piece
	result people.Result
	weaver []people.Caution
}

// standing holds every open piece against the rules of the person that it is
// for, with all that it is to be made of or has taken already.
func standing(tx *sqlite.Tx) (standings, error) {
	pieces, err := tx.Pieces(true)
	if err != nil || len(pieces) == 0 {
		return nil, err
	}
	shelf, err := makingShelf(tx)
	if err != nil {
		return nil, err
	}
	out := standings{}
	for _, p := range pieces {
		if p.Plan == nil {
			continue
		}
		if out[p.ID], err = pieceStands(tx, shelf, p); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func pieceStands(tx *sqlite.Tx, s making.Shelf, p stash.Piece) (pieceStanding, error) {
	parts := show.PartsOfPiece(s, p)
	out := pieceStanding{piece: p, result: people.Result{Answer: stash.Nothing}}
	for _, part := range parts {
		for _, c := range people.WeaverCautions(part.Yarn) {
			if !slices.Contains(out.weaver, c) {
				out.weaver = append(out.weaver, c)
			}
		}
	}
	whom, err := whomOf(tx, p)
	if whom.Person != nil {
		out.result = people.SuitsPiece(*whom.Person, parts, people.FormOf(p.Plan.Spec))
	}
	return out, err
}

// affected gives the open pieces for which something was added since, in the
// order of their names.
func (before standings) affected(tx *sqlite.Tx) ([]show.Affected, error) {
	after, err := standing(tx)
	var out []show.Affected
	for id, now := range after {
		reasons := people.Added(before[id].result, now.result)
		weaver := slices.DeleteFunc(slices.Clone(now.weaver),
			func(c people.Caution) bool { return slices.Contains(before[id].weaver, c) })
		if len(reasons)+len(weaver) == 0 {
			continue
		}
		a := show.Affected{Piece: now.piece.Name, ID: id, State: now.piece.State,
			Answer: now.result.Answer, Blocks: now.result.Blocks(),
		}
		a.Reasons, a.Weaver = append(a.Reasons, reasons...), append(a.Weaver, weaver...)
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b show.Affected) int {
		return cmp.Or(cmp.Compare(a.Piece, b.Piece),
			cmp.Compare(a.ID, b.ID))
	})
	return out, err
}
