package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// intoShape is yarn of one item in one piece, with what it cost.
type intoShape struct {
	Piece  string  `json:"piece"`
	Tag    string  `json:"tag"`
	Yarn   string  `json:"yarn"`
	DyeLot *string `json:"dye_lot"`
	Colour *string `json:"colour"`
	amountShape
}

// pieceCostShape is the JSON shape of `worth PIECE`.
type pieceCostShape struct {
	Piece string      `json:"piece"`
	State string      `json:"state"`
	Yarn  []intoShape `json:"yarn"`
	Cost  amountShape `json:"cost"`
	// Number is how many pieces are in the set, Each what one of them cost.
	Number int       `json:"number"`
	Each   paidShape `json:"each_milli"`
	// Sold is what was paid for those that were sold.
	Sold paidShape `json:"sold_milli"`

	passed []string
}

// into is what a package gave to a piece.
func into(p stash.Package, y stash.Yarn, piece stash.Piece, s stash.Settings) intoShape {
	mass := p.UsedIn[piece.ID]
	one := books.Amount{Mass: mass}
	milli, priced := p.Paid(mass)
	if priced {
		one.Paid = books.Sum{s.CurrencyOf(p.Price): milli}
	} else {
		one.Unpriced = mass
	}
	return intoShape{piece.Name, p.Label(), y.Name, known(p.Lot), known(p.Colour),
		amountShapeOf(one)}
}

func (k *call) worthOfPiece(tx *sqlite.Tx, piece stash.Piece) error {
	s, err := makingShelf(tx)
	if err != nil {
		return err
	}
	shape := pieceCostShape{Piece: piece.Name, State: string(piece.State), Yarn: []intoShape{},
		Number: piece.Woven(), Each: paidShape{}, Sold: paidShape{}}
	shape.Cost.Paid = paidShape{}
	for _, p := range s.Packages {
		if p.UsedIn[piece.ID] == 0 {
			continue
		}
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
	if shape.passed, err = passedLines(tx, piece); err != nil {
		return err
	}
	return k.answer(shape, func(w io.Writer) { printPieceCost(w, shape, k.units) })
}

func printPieceCost(w io.Writer, s pieceCostShape, units measure.System) {
	name := stash.Clean(s.Piece)
	if len(s.Yarn) == 0 {
		fmt.Fprintf(w, "No yarn is recorded in %s yet; it is %s.\n", name, s.State)
		return
	}
	least := ""
	if s.Cost.Unpriced > 0 {
		least = "at least "
	}
	fmt.Fprintf(w, "%s cost %s%s in yarn, loom waste and thrums with it.\n", name, least,
		moneyWords(s.Cost.Paid))
	if s.Number > 1 {
		fmt.Fprintf(w, "One of the %d: %s%s.\n", s.Number, least, moneyWords(s.Each))
	}
	if s.Cost.Unpriced > 0 {
		fmt.Fprintf(w, "%s of it have no price.\n", s.Cost.Unpriced.Format(units))
	}
	if len(s.Sold) > 0 {
		fmt.Fprintf(w, "Sold for %s.\n", moneyWords(s.Sold))
	}
	fmt.Fprintln(w)
	printInto(w, s.Yarn, false, units)
	for _, line := range s.passed {
		fmt.Fprint(w, wrap(line, "", pageWidth))
	}
}

// printInto prints which item went into which piece; of an item the pieces, of a
// piece the items.
func printInto(w io.Writer, all []intoShape, ofItem bool, units measure.System) {
	t := newTable("item", "yarn", "lot", ">weight", ">cost")
	if ofItem {
		t = newTable("piece", "lot", ">weight", ">cost")
	}
	for _, one := range all {
		cost := "no price"
		if one.Unpriced == 0 {
			cost = moneyWords(one.Paid)
		}
		lot := ""
		if one.DyeLot != nil {
			lot = *one.DyeLot
		}
		cells := []string{one.Tag, yarnColour(one.Yarn, one.Colour), lot, one.Mass.Format(units),
			cost}
		if ofItem {
			cells = append([]string{one.Piece}, cells[2:]...)
		}
		t.add(cells...)
	}
	t.dropEmpty()
	t.print(w)
}

func yarnColour(yarn string, colour *string) string {
	if colour == nil || strings.HasSuffix(yarn, *colour) {
		return yarn
	}
	return yarn + ", " + *colour
}

// itemWorthShape is the JSON shape of `worth ITEM`.
type itemWorthShape struct {
	Tag  string      `json:"tag"`
	Yarn string      `json:"yarn"`
	Left amountShape `json:"left"`
	Into []intoShape `json:"into"`
}

func (k *call) worthOfItem(tx *sqlite.Tx, p stash.Package) error {
	s, err := makingShelf(tx)
	if err != nil {
		return err
	}
	pieces, err := tx.Pieces(false)
	if err != nil {
		return err
	}
	y := s.Yarns[p.Yarn]
	shape := itemWorthShape{Tag: p.Label(), Yarn: y.Name, Into: []intoShape{}}
	left, _ := books.WorthBy([]stash.Package{p}, s.Settings,
		func(stash.Package) string { return "" })
	shape.Left = amountShapeOf(left.Amount)
	for _, piece := range pieces {
		if p.UsedIn[piece.ID] != 0 {
			shape.Into = append(shape.Into, into(p, y, piece, s.Settings))
		}
	}
	return k.answer(shape, func(w io.Writer) {
		cost := "without a price"
		if shape.Left.Unpriced == 0 {
			cost = "bought for " + moneyWords(shape.Left.Paid)
		}
		fmt.Fprintf(w, "%s %s: %s left, %s.\n", shape.Tag,
			stash.Clean(yarnColour(y.Name, known(p.Colour))), shape.Left.Mass.Format(k.units), cost)
		if len(shape.Into) == 0 {
			fmt.Fprintln(w, "No piece has any of it.")
			return
		}
		fmt.Fprintln(w)
		printInto(w, shape.Into, true, k.units)
	})
}
