package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/books"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func worthCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "worth", Category: groupLooking, ArgsUsage: "[ITEM|PIECE]",
		Usage: "See what your yarn was bought for, or what a piece cost.",
		Description: "Without a name it is the whole shelf, added up by yarn, fibre or bin. Of an ITEM it says which\n" +
			"pieces it went into; of a PIECE which items, with their dye lots, what all of it cost, and what one of a\n" +
			"set did. Loom waste, sample and thrums are in the cost of a piece. What has no price is counted and not guessed.",
		Flags: []cli.Flag{&cli.StringFlag{Name: "by",
			Usage: "add up by this `KEY`: yarn, fibre or bin", Value: "yarn"}},
		Action: action(e, 0, 1, worth),
	}
}

// paidShape is an amount of money: thousandths of each currency. One that was
// written without a currency, where the settings name none, is under "".
type paidShape map[string]int64

func paidOf(s books.Sum) paidShape {
	out := paidShape{}
	maps.Copy(out, paidShape(s))
	return out
}

// amountShape is yarn with what was paid for it; Unpriced is the part without a
// price.
type amountShape struct {
	Mass     measure.Mass `json:"mass_mg"`
	Paid     paidShape    `json:"paid_milli"`
	Unpriced measure.Mass `json:"unpriced_mg"`
}

func amountShapeOf(a books.Amount) amountShape {
	return amountShape{a.Mass, paidOf(a.Paid), a.Unpriced}
}

// worthShape is the JSON shape of `worth` of the shelf.
type worthShape struct {
	By   string      `json:"by"`
	All  worthLine   `json:"all"`
	Each []worthLine `json:"each"`
	// Unfit is the part of it that has perished or is to be discarded.
	Unfit worthLine `json:"unfit"`
}

type worthLine struct {
	Name  string `json:"name"`
	Items int    `json:"items"`
	amountShape
	Without int `json:"items_without_price"`
}

func worthLineOf(w books.Worth) worthLine {
	return worthLine{w.Name, w.Items, amountShapeOf(w.Amount), w.Without}
}

func worth(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		name := k.Args().First()
		if name == "" {
			return k.worthOfShelf(tx)
		}
		piece, err := tx.FindPiece(name)
		if err == nil {
			return k.worthOfPiece(tx, piece)
		}
		p, itemErr := tx.FindPackage(name)
		if itemErr != nil {
			return itemErr
		}
		return k.worthOfItem(tx, p)
	})
}

func (k *call) worthOfShelf(tx *sqlite.Tx) error {
	s, err := makingShelf(tx)
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
		return stash.Refuse(stash.CodeUsage, "Write --by yarn, fibre or bin.",
			"Nothing can be added up by %s.", stash.Quote(k.String("by")))
	}
	all, each := books.WorthBy(s.Packages, s.Settings, name)
	shape := worthShape{By: k.String("by"), All: worthLineOf(all), Each: []worthLine{},
		Unfit: worthLineOf(unfitWorth(s))}
	for _, w := range each {
		shape.Each = append(shape.Each, worthLineOf(w))
	}
	return k.answer(shape, func(w io.Writer) { printWorth(w, shape, k.units) })
}

// unfitWorth is what was paid for what has perished or is to be discarded.
func unfitWorth(s making.Shelf) books.Worth {
	var unfit []stash.Package
	for _, p := range s.Packages {
		if bar := s.Bar(p); bar == stash.BarPerished || bar == stash.BarUnfit {
			unfit = append(unfit, p)
		}
	}
	all, _ := books.WorthBy(unfit, s.Settings, func(stash.Package) string { return "" })
	return all
}

func printWorth(w io.Writer, s worthShape, units measure.System) {
	fmt.Fprintf(w, "%s of yarn were bought for %s.\n", s.All.Mass.Format(units),
		moneyWords(s.All.Paid))
	if s.All.Without > 0 {
		fmt.Fprintf(w, "Not in it: %s (%s) without a price.\n", plural(s.All.Without, "item"),
			s.All.Unpriced.Format(units))
	}
	if s.Unfit.Items > 0 {
		fmt.Fprintf(w, "In it, but perished or to be discarded: %s, %s.\n",
			plural(s.Unfit.Items, "item"), moneyWords(s.Unfit.Paid))
	}
	fmt.Fprintln(w)
	t := newTable(s.By, ">items", ">left", ">paid", "without a price")
	for _, one := range s.Each {
		without := ""
		if one.Without > 0 {
			without = plural(one.Without, "item") + ", " + one.Unpriced.Format(units)
		}
		t.add(one.Name, fmt.Sprint(one.Items), one.Mass.Format(units), moneyWords(one.Paid),
			without)
	}
	t.print(w)
}

// moneyWords write an amount to the cent, each currency by itself.
func moneyWords(s paidShape) string {
	var out []string
	for _, currency := range slices.Sorted(maps.Keys(s)) {
		milli := s[currency]
		sign := ""
		if milli < 0 {
			sign, milli = "-", -milli
		}
		cents := (milli + 5) / 10
		text := fmt.Sprintf("%s%d.%02d", sign, cents/100, cents%100)
		switch {
		case currency != "":
			text += " " + stash.Clean(currency)
		case len(s) > 1:
			text += " without a currency"
		}
		out = append(out, text)
	}
	if len(out) == 0 {
		return "0.00"
	}
	return strings.Join(out, " + ")
}
