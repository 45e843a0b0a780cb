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
	fmt.Fprintf(w, "%s of yarn were bought for %s.\n", s.All.Mass.Whole(units),
		MoneyWords(s.All.Paid))
	if s.All.Without > 0 {
		fmt.Fprintf(w, "Not in it: %s (%s) without a price.\n",
			measure.Counted(s.All.Without, "item"),
			s.All.Unpriced.Format(units))
	}
	if s.All.Free > 0 {
		fmt.Fprintf(w, "Cost nothing: %s.\n", measure.Counted(s.All.Free, "item"))
	}
	if len(s.All.Again) > 0 {
		again := "To buy it again at the price paid last for each yarn: " + MoneyWords(s.All.Again)
		if s.All.Unmet > 0 {
			again += ", without " + s.All.Unmet.Whole(units) + " of which no price is known"
		}
		fmt.Fprint(w, Wrap(again+".", "", RoomOf(w)))
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
