package fit

import (
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// WeftAlone is the probability that the weft of a request is enough for pieces of a
// length, whatever the warp: it is on the loom. Pools that may be mixed are one.
func WeftAlone(r Request, threaded int, lf measure.Length) (Odds, error) {
	weft := func(g Geometry) measure.Length { return g.Weft(threaded, lf) }
	all := int64(weft(r.Geometry))
	p := chance.Problem{Packages: r.chancePackages()}
	for _, side := range r.sides() {
		var from []int
		for i, k := range r.Packages {
			if k.ForWeft && (side == 0 || k.Side == side) {
				from = append(from, i)
			}
		}
		need := r.ofSide(all)
		joins := int64(r.Join) * int64(max(0, len(from)-1))
		p.Weft = append(p.Weft, chance.WeftPool{Packages: from, Need: chance.Need{
			Length: float64(need + joins), Shared: r.loadings(float64(need)/float64(max(1, all)),
				weft),
		}})
	}
	a, err := chance.Fits(p)
	return Odds{a, Binding{Kind: Weft}, &r, p, slices.Repeat([]Binding{{Kind: Weft}}, len(p.Weft))}, err
}
