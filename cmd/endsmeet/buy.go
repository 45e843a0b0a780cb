package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/share"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// toBuy is the JSON shape of a line of `share --open`.
type toBuy struct {
	Piece string `json:"piece"`
	share.Buy
	Instead []instead `json:"instead"`
}

// instead is yarn on the shelf that would do in the place of what lacks.
type instead struct {
	Packages []stash.PackageID `json:"packages"`
	Yarn     string            `json:"yarn"`
	Score    int               `json:"score"`
}

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
		out := []toBuy{}
		for _, l := range lacks {
			out = append(out, toBuyOf(l))
		}
		return k.answer(out, func(w io.Writer) { printBuyList(w, out, len(pieces), k.units) })
	})
}

func toBuyOf(l share.Shortfall) toBuy {
	one := toBuy{Piece: l.Piece, Buy: l.Buy, Instead: []instead{}}
	for _, a := range l.Instead {
		ids := a.Weft
		if l.Buy.Role != stash.RoleWeft {
			ids = a.Warp
		}
		one.Instead = append(one.Instead, instead{ids, yarnsOf(a.Shelf, ids), a.Score})
	}
	return one
}

func printBuyList(w io.Writer, out []toBuy, pieces int, units measure.System) {
	if len(out) == 0 {
		fmt.Fprintf(w, "nothing to buy: %s, and all their yarn is there\n",
			plural(pieces, "open piece"))
		return
	}
	piece := ""
	for _, b := range out {
		if b.Piece != piece {
			piece = b.Piece
			fmt.Fprintf(w, "%s\n", stash.Clean(piece))
		}
		fmt.Fprint(w, wrap(buyWords(b.Buy, units), "  ", roomOf(w)))
		var names []string
		for _, i := range b.Instead {
			names = append(names, i.Yarn)
		}
		if len(names) > 0 {
			fmt.Fprint(w, wrap("or take instead: "+strings.Join(names, "; or "), "  ", roomOf(w)))
		} else {
			fmt.Fprintln(w, "  nothing on the shelf would do instead")
		}
	}
}
