package show

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// WorthShape is the JSON shape of `worth` of the shelf.
type WorthShape struct {
	By   string        `json:"by"`
	All  books.Worth   `json:"all"`
	Each []books.Worth `json:"each"`
	// Unfit is the part of it that has perished or is to be discarded.
	Unfit books.Worth `json:"unfit"`
}

// PrintWorth prints what the stash is worth.
func PrintWorth(w io.Writer, s WorthShape, units measure.System) {
	for _, line := range worthLines(s.All, units) {
		fmt.Fprint(w, Wrap(line, "", RoomOf(w)))
	}
	if s.Unfit.Items > 0 {
		fmt.Fprintf(w, "In it, but perished or to be discarded: %s, %s.\n",
			measure.Counted(s.Unfit.Items, "item"), MoneyWords(s.Unfit.Paid))
	}
	fmt.Fprintln(w)
	t := NewTable(s.By, ">items", ">left", ">paid", "without a price")
	masses := make([]measure.Mass, 0, len(s.Each))
	for _, one := range s.Each {
		masses = append(masses, one.Mass)
	}
	left := measure.Balanced(units, masses...)
	for i, one := range s.Each {
		without := ""
		if one.Without > 0 {
			without = measure.Counted(one.Without, "item") + ", " + one.Unpriced.Format(units)
		}
		t.Add(one.Name, fmt.Sprint(one.Items), left[i], MoneyWords(one.Paid),
			without)
	}
	t.Print(w)
}

// worthLines say what was paid for yarn, by which prices, and what has none.
func worthLines(all books.Worth, units measure.System) []string {
	var out []string
	if all.First != "" {
		when := all.First
		if all.Last != when {
			when += " to " + all.Last
		}
		out = append(out, fmt.Sprintf("%s of yarn were bought for %s, each item at its own price, of %s.",
			(all.Mass-all.Unpriced).Whole(units), MoneyWords(all.Paid), when))
	}
	if all.Without > 0 {
		out = append(out, fmt.Sprintf("Not in that, without a price: %s, %s.",
			measure.Counted(all.Without, "item"), all.Unpriced.Format(units)))
	}
	if all.Free > 0 {
		out = append(out, fmt.Sprintf("Cost nothing: %s.", measure.Counted(all.Free, "item")))
	}
	if len(all.Again) > 0 {
		out = append(out, fmt.Sprintf("At the price paid last for each yarn %s of it would cost %s today.",
			(all.Mass-all.Unmet).Whole(units), MoneyWords(all.Again)))
	}
	return out
}

// MoneyWords write an amount to the cent, each currency by itself.
func MoneyWords(s books.Sum) string {
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
