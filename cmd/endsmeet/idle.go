package main

import (
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/clear"
	"endsmeet/planner/kinds"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func idleCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "idle", Category: groupMaking,
		Usage: "Find yarn that nobody uses, and pieces that would use it up.",
		Description: "Lists yarn that has perished (rubber over ten years old) or is to be discarded, lots too small\n" +
			"for a warp or weft of any usual piece, and yarn that nobody has touched for years.",
		Flags: []cli.Flag{&cli.IntFlag{Name: "years", Usage: "not touched for `N` years",
			Value: 3}, sumsFlag()},
		Action: action(e, 0, 0, idle),
	}
}

func idle(k *call) error {
	years := k.Int("years")
	if years < 1 {
		return stash.Refuse(stash.CodeUsage, "from 1 on", "--years is a number above zero")
	}
	defer keepWithin(searchMemory)()
	return k.view(func(tx *sqlite.Tx) error {
		shelf, err := searchedShelf(tx)
		if err != nil {
			return err
		}
		projects, err := tx.Projects()
		if err != nil {
			return err
		}
		q := clear.Query{Years: years, Kinds: kinds.Of(projects, shelf.Pieces),
			Weights: weightsOf(shelf.Settings), Rest: shelf.Settings.RestUse}
		look := clear.NewLooking(shelf,
			search.Empty(shelf, search.Query{}, packagesByID(tx)), q)
		if err := searchThrough(tx, shelf, look.Add); err != nil {
			return err
		}
		answer, err := look.Idle(k.ctx)
		if err != nil {
			return err
		}
		shape, err := idleOf(tx, answer)
		if err != nil {
			return err
		}
		sums := k.Bool("sums")
		return k.answerOfShelf(tx, shape,
			func(w io.Writer) { show.PrintIdle(w, shape, years, sums, k.units) })
	})
}

func idleOf(tx *sqlite.Tx, a clear.Answer) (show.IdleShape, error) {
	out := show.IdleShape{Empty: a.Empty}
	for _, t := range a.Twice {
		out.Twice = append(out.Twice, show.BoughtAgain(t))
	}
	for _, it := range a.Items {
		one := show.IdleItem{ID: it.ID, Tag: it.Label, Yarn: it.Yarn,
			Why: it.Why, Text: it.Words, Years: it.Years}
		if it.Known {
			one.Available, one.Left = &it.Available, &it.Left
		}
		out.Items = append(out.Items, one)
	}
	for _, u := range a.Pieces {
		f, err := fittingOf(tx, u.Piece)
		if err != nil {
			return out, err
		}
		out.Pieces = append(out.Pieces, show.UsedUp{Fitting: f, Idle: u.Idle})
	}
	return out, nil
}
