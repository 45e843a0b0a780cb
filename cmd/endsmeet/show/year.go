package show

import (
	"fmt"
	"io"
	"time"

	"endsmeet/planner/books"
	"endsmeet/stash/measure"
)

// YearShape is the JSON shape of `year`.
type YearShape struct {
	Calendar int `json:"year"`
	books.Year
	Pieces []PieceYear `json:"pieces"`
	Sold   books.Sum   `json:"sold_milli"`
	// Unfit is the part of what is there now that has perished or is to be discarded.
	Unfit books.Worth `json:"unfit"`
}

// PieceYear is a piece that was finished in the year.
type PieceYear struct {
	Piece    string    `json:"piece"`
	Finished time.Time `json:"finished"`
	Number   int       `json:"number"`
	// Minutes is how long it took to make, 0 where nobody noted it.
	Minutes int `json:"minutes"`
}

// rounding names what cents do not come out even.
const rounding = "rounding to the cent"

// PrintYear prints a year of the stash.
func PrintYear(w io.Writer, s YearShape, units measure.System) {
	fmt.Fprintf(w, "The stash in %d\n\n", s.Calendar)
	printYearSums(w, s, units)
	printFibreYears(w, s.Fibres, units)
	set, time := 0, 0
	for _, p := range s.Pieces {
		set += p.Number
		time += p.Minutes
	}
	sold := ""
	if len(s.Sold) > 0 {
		sold = " Sold for " + MoneyWords(s.Sold) + "."
	}
	fmt.Fprintf(w, "\nFinished: %s.%s\n", measure.Counted(set, "piece"), sold)
	if time > 0 {
		fmt.Fprintf(w, "Hours noted: %s.\n", hoursText(time))
	}
	if s.Unfit.Items > 0 {
		fmt.Fprintf(w, "In it, but perished or to be discarded by now: %s, %s.\n",
			measure.Counted(s.Unfit.Items, "item"), MoneyWords(s.Unfit.Paid))
	}
	fmt.Fprint(w, Wrap("Each item is at the price paid for it, and nothing is taken off for age; a stock list usually takes the lower of cost and what it would fetch, "+
		"and one method kept from year to year. This is no tax advice: rules differ by country and year.", "", RoomOf(w)))
}

// printYearSums prints what came in and what went where: amounts that add up.
func printYearSums(w io.Writer, s YearShape, units measure.System) {
	t := NewTable("", ">yarn", ">bought for", ">without a price")
	yarn := measure.Balanced(units, s.Opening.Mass, s.Received.Mass, -s.Used.Mass,
		-s.Discarded.Mass, -s.Given.Mass, -s.Unexplained.Mass, 0, -s.Closing.Mass)
	for i, line := range []struct {
		name string
		books.Amount
	}{
		{"there on 1 January", s.Opening}, {"came in", s.Received}, {"used", s.Used},
		{"discarded", s.Discarded},
		{"given away", s.Given}, {"unexplained", s.Unexplained},
		{rounding, books.Amount{Paid: s.Rounding}}, {"there at the end", s.Closing},
	} {
		if line.name == rounding && !amounts(line.Paid) {
			continue
		}
		mass := yarn[i]
		switch {
		case line.name == rounding:
			mass = ""
		case i > 1:
			mass = measure.Opposite(mass)
		}
		t.Add(line.name, mass, MoneyWords(line.Paid),
			massUnlessNone(line.Unpriced, units))
	}
	t.DropEmpty()
	t.Print(w)
}

// amounts says whether there is anything in an amount of money.
func amounts(s books.Sum) bool {
	for _, milli := range s {
		if milli != 0 {
			return true
		}
	}
	return false
}

func massUnlessNone(m measure.Mass, units measure.System) string {
	if m == 0 {
		return ""
	}
	return m.Whole(units)
}

func printFibreYears(w io.Writer, all []books.Fibre, units measure.System) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w)
	t := NewTable("each fibre content by itself", ">came in", ">used", ">there at the end")
	for _, f := range all {
		t.Add(f.Name, massUnlessNone(f.Received.Mass, units), massUnlessNone(f.Used.Mass, units),
			f.Closing.Mass.Whole(units))
	}
	t.Print(w)
}
