package main

import (
	"io"
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/share"
	"endsmeet/planner/verdict"
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
		projects, err := unmade(tx)
		if err != nil {
			return err
		}
		lacks, err := share.Open(k.ctx, shelf, pieces, projects,
			func(p stash.Piece) (verdict.Whom, error) { return whomOf(tx, p) })
		if err != nil {
			return projectProblem(err)
		}
		var out []show.ToBuy
		for _, l := range lacks {
			out = append(out, toBuyOf(l))
		}
		return k.answer(out, func(w io.Writer) { show.PrintBuyList(w, out, len(pieces), len(projects), k.units) })
	})
}

// unmade are the projects of which no piece is planned, on the loom or finished.
func unmade(tx *sqlite.Tx) ([]stash.Project, error) {
	pieces, err := tx.Pieces(false)
	if err != nil {
		return nil, err
	}
	projects, err := tx.Projects()
	return slices.DeleteFunc(projects, func(b stash.Project) bool {
		return slices.ContainsFunc(pieces, func(p stash.Piece) bool {
			return p.Project == b.ID && p.State != stash.Abandoned
		})
	}), err
}

func toBuyOf(l share.Shortfall) show.ToBuy {
	one := show.ToBuy{Piece: l.Piece, Buy: l.Buy, Taken: append([]share.Taken{}, l.Taken...)}
	for _, a := range l.Instead {
		one.Instead = append(one.Instead, insteadOf(a, l.Buy.Role))
	}
	return one
}

func insteadOf(a share.Offer, role stash.Role) show.Instead {
	ids := slices.Clone(a.Weft)
	yarn := show.YarnsOf(a.Shelf, ids)
	switch {
	case role == stash.RoleWarp:
		ids = a.Warp
		yarn = show.YarnsOf(a.Shelf, ids)
	case role == making.WarpAndWeft && !slices.Equal(a.Warp, a.Weft):
		yarn = show.YarnsOf(a.Shelf, a.Warp) + " as warp and " + yarn + " as weft"
		ids = append(slices.Clone(a.Warp), ids...)
	}
	return show.Instead{Packages: ids, Yarn: yarn, Score: a.Score, Verdicts: a.Verdict}
}
