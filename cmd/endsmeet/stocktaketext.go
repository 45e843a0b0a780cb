package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// stocktakeShape is the JSON shape of `stocktake`: what was read, and what was
// not found.
type stocktakeShape struct {
	Bin  *string     `json:"bin"`
	Read []stockItem `json:"read"`
	// Elsewhere are the tags of items that were read and are in another bin on
	// record, with that bin.
	Elsewhere []placed `json:"elsewhere"`
	// Missing are the items that should be there and were not read.
	Missing []item `json:"not_found"`
	// Away are the tags that were not expected, being lent.
	Away        []placed     `json:"away"`
	Unexplained measure.Mass `json:"unexplained_mg"`
	Act         stash.Act    `json:"act"`
}

// stockItem is an item as it is after its reading, with what the reading changed.
type stockItem struct {
	item
	// Difference is what is there now less what was expected.
	Difference *measure.Mass `json:"difference_mg"`
	Raw        *string       `json:"scale_line"`
}

type placed struct {
	Tag string `json:"tag"`
	// Where is the bin, or who has it.
	Where string `json:"where"`
}

// stocktakeOf is what a stocktake found: before and after are the shelf before
// its readings were recorded and after.
func stocktakeOf(before, after *stockroom, reads []stockReading) stocktakeShape {
	s := stocktakeShape{Bin: known(before.bin), Read: []stockItem{}, Elsewhere: []placed{},
		Missing: []item{}, Away: []placed{}}
	seen := map[stash.PackageID]bool{}
	for _, c := range reads {
		seen[c.ID] = true
		was, is := before.items[c.ID], after.items[c.ID]
		one := stockItem{item: is, Raw: known(c.Raw)}
		if was.pack.Known {
			d := is.pack.Held - was.pack.Held
			one.Difference = &d
		}
		s.Unexplained += is.pack.Unexplained - was.pack.Unexplained
		s.Read = append(s.Read, one)
		if before.elsewhere(was) {
			s.Elsewhere = append(s.Elsewhere, placed{was.Tag, was.pack.Bin})
		}
	}
	s.Missing = before.missing(seen)
	for _, id := range before.order {
		if it := before.items[id]; it.pack.LentTo != "" &&
			(before.bin == "" || strings.EqualFold(it.pack.Bin, before.bin)) {
			s.Away = append(s.Away, placed{it.Tag, it.pack.LentTo})
		}
	}
	return s
}

// elsewhere says whether an item is in another bin on record than the one that is
// gone through.
func (r *stockroom) elsewhere(it item) bool {
	return r.bin != "" && !strings.EqualFold(it.pack.Bin, r.bin)
}

// missing are the items that should be there and were not seen.
func (r *stockroom) missing(seen map[stash.PackageID]bool) []item {
	out := []item{}
	for _, id := range r.order {
		if it := r.items[id]; !seen[id] && it.pack.Awaited(r.bin) {
			out = append(out, it)
		}
	}
	return out
}

// differs says what a reading changed, in words.
func differs(d *measure.Mass, step measure.Mass, units measure.System) string {
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

func (s stocktakeShape) printer(units measure.System) func(io.Writer) {
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
func (s stocktakeShape) printDifferences(w io.Writer, units measure.System) {
	t, same := newTable("tag", "yarn", ">now", "difference"), 0
	for _, one := range s.Read {
		words := differs(one.Difference, one.pack.Step, units)
		if words == "as expected" {
			same++
			continue
		}
		t.add(one.Tag, strings.TrimSuffix(one.Yarn+", "+one.pack.Colour, ", "),
			one.amount.Net.Format(units), words)
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(w)
		t.print(w)
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
func (s stocktakeShape) printPlaces(w io.Writer, units measure.System) {
	if len(s.Missing) > 0 {
		fmt.Fprintln(w, "\nNot found")
		t := newTable("tag", "yarn", "bin", ">should be")
		for _, it := range s.Missing {
			t.add(it.Tag, strings.TrimSuffix(it.Yarn+", "+it.pack.Colour, ", "), it.pack.Bin,
				massWords(it.NetMg, units))
		}
		t.print(w)
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
