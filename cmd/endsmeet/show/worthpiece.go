package show

import (
	"fmt"
	"io"

	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// IntoShape is yarn of one item in one piece, with what it cost.
type IntoShape struct {
	Piece  string  `json:"piece"`
	Tag    string  `json:"tag"`
	Yarn   string  `json:"yarn"`
	DyeLot *string `json:"dye_lot"`
	Colour *string `json:"colour"`
	// Price is what the cost is reckoned by, PriceOf the day that it is of.
	Price   *stash.Price `json:"price"`
	PriceOf *string      `json:"price_of"`
	books.Amount
}

// PieceCostShape is the JSON shape of `worth PIECE`.
type PieceCostShape struct {
	Piece string       `json:"piece"`
	State string       `json:"state"`
	Yarn  []IntoShape  `json:"yarn"`
	Cost  books.Amount `json:"cost"`
	// Number is how many pieces are in the set, Each what one of them cost.
	Number int       `json:"number"`
	Each   books.Sum `json:"each_milli"`
	// Sold is what was paid for those that were sold.
	Sold books.Sum `json:"sold_milli"`

	Passed []string `json:"-"`
}

// PrintPieceCost prints what a piece cost.
func PrintPieceCost(w io.Writer, s PieceCostShape, units measure.System) {
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
		MoneyWords(s.Cost.Paid))
	if s.Number > 1 {
		fmt.Fprintf(w, "One of the %d: %s%s.\n", s.Number, least, MoneyWords(s.Each))
	}
	if s.Cost.Unpriced > 0 {
		fmt.Fprintf(w, "%s of it have no price.\n", s.Cost.Unpriced.Format(units))
	}
	if len(s.Sold) > 0 {
		fmt.Fprintf(w, "Sold for %s.\n", MoneyWords(s.Sold))
	}
	fmt.Fprintln(w)
	PrintInto(w, s.Yarn, false, units)
	for _, line := range s.Passed {
		fmt.Fprint(w, Wrap(line, "", RoomOf(w)))
	}
}

// PriceBasis is a price that was reckoned by, and the day that it is of; empty without one.
func PriceBasis(p *stash.Price, day *string) string {
	if p == nil || day == nil {
		return ""
	}
	return priceWords(p) + ", " + *day
}

// PrintInto prints which item went into which piece; of an item the pieces, of a
// piece the items.
func PrintInto(w io.Writer, all []IntoShape, ofItem bool, units measure.System) {
	t := NewTable("item", "yarn", "lot", ">weight", ">cost", "at the price")
	if ofItem {
		t = NewTable("piece", "lot", ">weight", ">cost", "at the price")
	}
	for _, one := range all {
		cost := "no price"
		if one.Unpriced == 0 {
			cost = MoneyWords(one.Paid)
		}
		lot := ""
		if one.DyeLot != nil {
			lot = *one.DyeLot
		}
		cells := []string{one.Tag, YarnColour(one.Yarn, one.Colour), lot, one.Mass.Format(units),
			cost, PriceBasis(one.Price, one.PriceOf)}
		if ofItem {
			cells = append([]string{one.Piece}, cells[2:]...)
		}
		t.Add(cells...)
	}
	t.DropEmpty()
	t.Print(w)
}

// ItemWorth is the JSON shape of `worth ITEM`.
type ItemWorth struct {
	Tag  string       `json:"tag"`
	Yarn string       `json:"yarn"`
	Left books.Amount `json:"left"`
	Into []IntoShape  `json:"into"`
}
