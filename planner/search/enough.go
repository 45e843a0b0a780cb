package search

import (
	"math"
	"slices"

	"endsmeet/stash"
)

// Enough lists those of some packages whose lot is enough for the warp or for the weft
// of the least size of a kind, whatever the other part is.
func (st *Stock) Enough(q Query, of map[stash.PackageID]bool) ([]stash.PackageID, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	q.Colours = 1
	g, f := st.prepare(q)
	shortest := f.shortest()
	var out []stash.PackageID
	for _, b := range g.bundles.all {
		if !slices.ContainsFunc(b.packs, func(p *pack) bool { return of[p.id] }) {
			continue
		}
		if l := g.lot(b); l != nil && f.enough(l, shortest) {
			out = append(out, l.ids()...)
		}
	}
	return out, nil
}

// enough says whether a lot is enough for some part; shortest is the least factor of
// the warps.
func (f *finder) enough(l *lot, shortest float64) bool {
	in := f.sortOf(l)
	if area := f.judge.areaOfWarp; l.asWarp && in.asWarp &&
		area(l, in.warp.line, f.scales) >= f.bounder.least {
		return true
	}
	return l.asWeft && l.join > 0 &&
		min(1, in.weft.areaOfWeft(float64(l.join))/shortest) >= f.bounder.least
}

// shortest is the least factor of the lots that make a warp, 1 where none does.
func (f *finder) shortest() float64 {
	least := math.Inf(1)
	for _, b := range f.gathering.bundles.all {
		l := f.gathering.lot(b)
		if l == nil || !l.asWarp {
			continue
		}
		in := f.sortOf(l)
		if in.asWarp && in.warp.factor < least &&
			f.judge.areaOfWarp(l, in.warp.line, f.scales) > 0 {
			least = in.warp.factor
		}
	}
	if math.IsInf(least, 1) {
		return 1
	}
	return least
}
