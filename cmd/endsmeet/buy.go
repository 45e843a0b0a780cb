package main

import (
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/share"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// buyList answers what the open pieces lack, and what would do instead.
func (k *call) buyList() error {
	return k.view(func(tx *sqlite.Tx) error {
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		pieces, err := tx.Pieces(true)
		if err != nil {
			return err
		}
		all, err := tx.Everybody()
		if err != nil {
			return err
		}
		people := map[stash.PersonID]stash.Person{}
		for _, p := range all {
			people[p.ID] = p
		}
		lacks, err := share.Open(k.ctx, shelf, pieces, people)
		if err != nil {
			return projectProblem(err)
		}
		out := []show.ToBuy{}
		for _, l := range lacks {
			out = append(out, toBuyOf(l))
		}
		return k.answer(out, func(w io.Writer) { show.PrintBuyList(w, out, len(pieces), k.units) })
	})
}

func toBuyOf(l share.Shortfall) show.ToBuy {
	one := show.ToBuy{Piece: l.Piece, Buy: l.Buy, Instead: []show.Instead{}}
	for _, a := range l.Instead {
		ids := a.Weft
		if l.Buy.Role != stash.RoleWeft {
			ids = a.Warp
		}
		one.Instead = append(one.Instead,
			show.Instead{Packages: ids, Yarn: show.YarnsOf(a.Shelf, ids), Score: a.Score})
	}
	return one
}
