package main

import (
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func worthCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "worth", Category: groupLooking, ArgsUsage: "[ITEM|PIECE]",
		Usage: "See what your yarn was bought for, or what a piece cost.",
		Description: "Without a name it is the whole shelf, added up by yarn, fibre or bin. Of an ITEM it says which\n" +
			"pieces it went into; of a PIECE which items, with their dye lots, what all of it cost, and what one of a\n" +
			"set cost. Loom waste, sample and thrums are in the cost of a piece. What has no price is counted and not guessed.",
		Flags: []cli.Flag{&cli.StringFlag{Name: "by",
			Usage: "add up by this `KEY`: yarn, fibre or bin", Value: "yarn"}},
		Action: action(e, 0, 1, worth),
	}
}

func worth(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		name := k.Args().First()
		if name == "" {
			return k.worthOfShelf(tx)
		}
		m, err := findNamed(tx, name, stash.WhatPiece, stash.WhatPackage)
		switch {
		case err != nil:
			return err
		case m.piece != nil:
			return k.worthOfPiece(tx, *m.piece)
		case m.pack != nil:
			return k.worthOfItem(tx, *m.pack)
		}
		_, err = tx.FindPackage(name)
		return err
	})
}

func (k *call) worthOfShelf(tx *sqlite.Tx) error {
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	names := map[string]func(stash.Package) string{
		"yarn":  func(p stash.Package) string { return s.Yarns[p.Yarn].Name },
		"fibre": func(p stash.Package) string { return books.FibreName(s.Yarns[p.Yarn]) },
		"bin":   func(p stash.Package) string { return binWords(p.Bin) },
	}
	name, ok := names[k.String("by")]
	if !ok {
		return stash.Refuse(stash.CodeUsage, stash.OneOf(k.String("by"), []string{"yarn", "fibre", "bin"}),
			"Nothing can be added up by %s.", stash.Quote(k.String("by")))
	}
	prices := books.Prices{}
	sums, unfit := books.NewWorthSums(s.Settings, prices), books.NewWorthSums(s.Settings, prices)
	if err := tx.EachPackage(false, func(p stash.Package) error {
		prices.See(p)
		sums.Add(p, name(p))
		addUnfit(unfit, s, p)
		return nil
	}); err != nil {
		return err
	}
	shape := show.WorthShape{By: k.String("by"), All: sums.All(), Each: sums.Each(),
		Unfit: unfit.All()}
	return k.answerOfShelf(tx, shape, func(w io.Writer) { show.PrintWorth(w, shape, k.units) })
}

// addUnfit adds an item that has perished or is to be discarded.
func addUnfit(to *books.WorthSums, s *shelf, p stash.Package) {
	if bar := s.Bar(p); bar == stash.BarPerished || bar == stash.BarUnfit {
		to.Add(p, "")
	}
}
