package main

import (
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// stocktakeOf is what a stocktake found: before and after are the shelf before
// its readings were recorded and after.
func stocktakeOf(before, after *show.Stockroom, reads []stockReading) show.StocktakeShape {
	s := show.StocktakeShape{Bin: stash.Known(before.Bin)}
	seen := map[stash.PackageID]bool{}
	for _, c := range reads {
		seen[c.ID] = true
		was, is := before.Items[c.ID], after.Items[c.ID]
		one := show.StockItem{Item: is, Raw: stash.Known(c.Raw)}
		if was.Pack.Known {
			d := is.Pack.Held - was.Pack.Held
			one.Difference = &d
		}
		s.Unexplained += is.Pack.Unexplained - was.Pack.Unexplained
		s.Read = append(s.Read, one)
		if before.Elsewhere(was) {
			s.Elsewhere = append(s.Elsewhere, show.Placed{Tag: was.Tag, Where: was.Pack.Bin})
		}
	}
	s.Missing = before.Missing(seen)
	for _, id := range before.Order {
		if it := before.Items[id]; it.Pack.LentTo != "" &&
			(before.Bin == "" || strings.EqualFold(it.Pack.Bin, before.Bin)) {
			s.Away = append(s.Away, show.Placed{Tag: it.Tag, Where: it.Pack.LentTo})
		}
	}
	return s
}
