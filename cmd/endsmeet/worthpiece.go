package main

import (
	"fmt"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// into is what a package gave to a piece.
func into(p stash.Package, y stash.Yarn, piece stash.Piece, s stash.Settings) show.IntoShape {
	mass := p.UsedIn[piece.ID]
	one := books.Amount{Mass: mass}
	milli, priced := p.Paid(mass)
	if priced {
		one.Paid = books.Sum{s.CurrencyOf(p.Price): milli}
	} else {
		one.Unpriced = mass
	}
	return show.IntoShape{Piece: piece.Name, Tag: p.Label(), Yarn: y.Name,
		DyeLot: stash.Known(p.Lot), Colour: stash.Known(p.Colour),
		Price: p.Price, PriceOf: stash.Known(books.PaidOn(p)), Amount: one}
}

func (k *call) worthOfPiece(tx *sqlite.Tx, piece stash.Piece) error {
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	shape := show.PieceCostShape{Piece: piece.Name, State: string(piece.State),
		Number: piece.Woven(), Each: books.Sum{}, Sold: books.Sum{}}
	shape.Cost.Paid = books.Sum{}
	packages, err := tx.PackagesIn(piece.ID)
	if err != nil {
		return err
	}
	for _, p := range packages {
		one := into(p, s.Yarns[p.Yarn], piece, s.Settings)
		shape.Yarn = append(shape.Yarn, one)
		shape.Cost.Mass += one.Mass
		shape.Cost.Unpriced += one.Unpriced
		for currency, milli := range one.Paid {
			shape.Cost.Paid[currency] += milli
		}
	}
	for currency, milli := range shape.Cost.Paid {
		shape.Each[currency] = (2*milli + int64(shape.Number)) / (2 * int64(shape.Number))
	}
	for _, x := range piece.Passed {
		if x.Price != nil {
			shape.Sold[s.Settings.CurrencyOf(x.Price)] += x.Price.Milli
		}
	}
	if shape.Passed, err = passedLines(tx, piece); err != nil {
		return err
	}
	return k.answer(shape, func(w io.Writer) { show.PrintPieceCost(w, shape, k.units) })
}

func (k *call) worthOfItem(tx *sqlite.Tx, p stash.Package) error {
	s, err := shelfFor(tx, p.Yarn)
	if err != nil {
		return err
	}
	pieces, err := tx.Pieces(false)
	if err != nil {
		return err
	}
	y := s.Yarns[p.Yarn]
	shape := show.ItemWorth{Tag: p.Label(), Yarn: y.Name}
	left := books.NewWorthSums(s.Settings, nil)
	left.Add(p, "")
	shape.Left = left.All().Amount
	for _, piece := range pieces {
		if p.UsedIn[piece.ID] != 0 {
			shape.Into = append(shape.Into, into(p, y, piece, s.Settings))
		}
	}
	return k.answer(shape, func(w io.Writer) {
		cost := "no price"
		if shape.Left.Unpriced == 0 {
			cost = "bought for " + show.MoneyWords(shape.Left.Paid)
		}
		if basis := show.PriceBasis(p.Price, stash.Known(books.PaidOn(p))); basis != "" {
			cost += ", at " + basis
		}
		fmt.Fprintf(w, "%s %s: %s left, %s.\n", shape.Tag,
			stash.Clean(show.YarnColour(y.Name, stash.Known(p.Colour))),
			shape.Left.Mass.Format(k.units), cost)
		if len(shape.Into) == 0 {
			fmt.Fprintln(w, "No piece has any of it.")
			return
		}
		fmt.Fprintln(w)
		show.PrintInto(w, shape.Into, true, k.units)
	})
}
