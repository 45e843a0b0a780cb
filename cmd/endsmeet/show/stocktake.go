package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Stockroom is what a stocktake knows of the shelf.
type Stockroom struct {
	Bin   string
	Items map[stash.PackageID]Item
	Order []stash.PackageID
}

// Find is the item of a tag: exactly that, since half a scanned tag is another.
func (r *Stockroom) Find(tag string) (Item, error) {
	var found []Item
	var tags []string
	for _, id := range r.Order {
		it := r.Items[id]
		if strings.EqualFold(it.Tag, tag) || strings.EqualFold(it.Pack.Tag, tag) || len(tag) >= 6 &&
			strings.HasPrefix(string(id), strings.ToLower(tag)) {
			found = append(found, it)
		}
		tags = append(tags, it.Tag)
	}
	here := slices.DeleteFunc(slices.Clone(found), func(it Item) bool { return it.Pack.Retired })
	switch {
	case len(here) == 1:
		return here[0], here[0].Pack.Countable()
	case len(here) > 1:
		return Item{}, stash.Refuse(stash.CodeAmbiguous,
			"Write one of "+here[0].Tag+", "+here[1].Tag+".", "%d items have the tag %s.",
			len(here), stash.Quote(tag))
	case len(found) > 0:
		return Item{}, found[0].Pack.Countable()
	}
	return Item{}, stash.Refuse(stash.CodeUnknown,
		stash.DidYouMean(tag, tags)+"`endsmeet receive` records a new one.",
		"No item has the tag %s.", stash.Quote(tag))
}

// StocktakeShape is the JSON shape of `stocktake`: what was read, and what was
// not found.
type StocktakeShape struct {
	Bin  *string     `json:"bin"`
	Read []StockItem `json:"read"`
	// Elsewhere are the tags of items that were read and are in another bin on
	// record, with that bin.
	Elsewhere []Placed `json:"elsewhere"`
	// Missing are the items that should be there and were not read.
	Missing []Item `json:"not_found"`
	// Away are the tags that were not expected, being lent.
	Away        []Placed     `json:"away"`
	Unexplained measure.Mass `json:"unexplained_mg"`
	Act         stash.Act    `json:"act"`
}

// StockItem is an item as it is after its reading, with what the reading changed.
type StockItem struct {
	Item
	// Difference is what is there now less what was expected.
	Difference *measure.Mass `json:"difference_mg"`
	Raw        *string       `json:"scale_line"`
}

// Placed is an item and where it is.
type Placed struct {
	Tag string `json:"tag"`
	// Where is the bin, or who has it.
	Where string `json:"where"`
}

// Elsewhere says whether an item is in another bin on record than the one that is
// gone through.
func (r *Stockroom) Elsewhere(it Item) bool {
	return r.Bin != "" && !strings.EqualFold(it.Pack.Bin, r.Bin)
}

// Missing are the items that should be there and were not seen.
func (r *Stockroom) Missing(seen map[stash.PackageID]bool) []Item {
	var out []Item
	for _, id := range r.Order {
		if it := r.Items[id]; !seen[id] && it.Pack.Awaited(r.Bin) {
			out = append(out, it)
		}
	}
	return out
}

// Differs says what a reading changed, in words.
func Differs(d *measure.Mass, step measure.Mass, units measure.System) string {
	switch {
	case d == nil:
		return "weighed for the first time"
	case *d < -step:
		return (-*d).Format(units) + " less than expected"
	case *d > step:
		return d.Format(units) + " more than expected"
	}
	return "as expected"
}

// Printer prints the outcome of a stocktake.
func (s StocktakeShape) Printer(units measure.System) func(io.Writer) {
	return func(w io.Writer) {
		where := "the whole shelf"
		if s.Bin != nil {
			where = *s.Bin
		}
		fmt.Fprintf(w, "Stocktake of %s: %d read, %d not found.\n", stash.Clean(where), len(s.Read),
			len(s.Missing))
		s.printDifferences(w, units)
		s.printPlaces(w, units)
		fmt.Fprintln(w, "\nendsmeet undo takes all of it back.")
	}
}

// printDifferences prints what is not as expected, and how many are.
func (s StocktakeShape) printDifferences(w io.Writer, units measure.System) {
	t, same := NewTable("tag", "yarn", ">now", "difference"), 0
	for _, one := range s.Read {
		words := Differs(one.Difference, one.Pack.Step, units)
		if words == "as expected" {
			same++
			continue
		}
		t.Add(one.Tag, strings.TrimSuffix(one.Yarn+", "+one.Pack.Colour, ", "),
			one.Amount.Net.Format(units), words)
	}
	if len(t.Rows) > 0 {
		fmt.Fprintln(w)
		t.Print(w)
	}
	if same > 0 {
		fmt.Fprintf(w, "%d as expected.\n", same)
	}
	switch {
	case s.Unexplained > 0:
		fmt.Fprintf(w, "%s less than the records say, in all; kept as \"unexplained\".\n",
			s.Unexplained.Format(units))
	case s.Unexplained < 0:
		fmt.Fprintf(w, "%s more than the records say, in all; kept as \"unexplained\".\n",
			(-s.Unexplained).Format(units))
	}
}

// printPlaces prints what is not where it should be.
func (s StocktakeShape) printPlaces(w io.Writer, units measure.System) {
	if len(s.Missing) > 0 {
		fmt.Fprintln(w, "\nNot found")
		t := NewTable("tag", "yarn", "bin", ">should be")
		for _, it := range s.Missing {
			t.Add(it.Tag, strings.TrimSuffix(it.Yarn+", "+it.Pack.Colour, ", "), it.Pack.Bin,
				MassWords(it.NetMg, units))
		}
		t.Print(w)
		fmt.Fprintf(w, "If one is gone: %s\n",
			stash.Command("retire --leftover lost", s.Missing[0].Tag))
	}
	for _, p := range s.Elsewhere {
		if p.Where == "" {
			p.Where = "no bin"
		}
		fmt.Fprintf(w, "%s is in %s on record. If it stays here: %s\n", p.Tag, stash.Clean(p.Where),
			stash.Command("set", p.Tag, "bin="+*s.Bin))
	}
	for _, p := range s.Away {
		fmt.Fprintf(w, "%s was not expected: it is on loan to %s.\n", p.Tag, stash.Clean(p.Where))
	}
}

// Tare is what an item's cone, tube or bag weighs, 0 where nobody said.
func (it Item) Tare() measure.Mass {
	if it.Pack.Tare == nil {
		return 0
	}
	return it.Pack.Tare.Mass
}
