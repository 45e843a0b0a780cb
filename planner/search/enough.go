package search

import (
	"endsmeet/planner/making"
	"endsmeet/stash"
)

// Enough lists the packages whose lot is enough for the warp or for the weft of
// the least size of a kind, whatever the other part is.
func Enough(shelf making.Shelf, q Query) ([]stash.PackageID, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	q.Colours = 1
	_, f := prepare(shelf, q)
	var out []stash.PackageID
	for _, t := range []*tree{f.warps, f.wefts} {
		for i := range t.items {
			if it := &t.items[i]; min(it.area, it.supply/f.shortest()) >= f.bounder.least {
				out = append(out, it.lot.ids()...)
			}
		}
	}
	return out, nil
}

// shortest is the least factor of the warps, 1 where there are none.
func (f *finder) shortest() float64 {
	if len(f.warps.nodes) == 0 {
		return 1
	}
	return f.warps.nodes[0].factor.min
}
