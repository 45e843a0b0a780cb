package fit

import (
	"math"
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Part is a share of a weft that is woven from some packages and no others.
type Part struct {
	IDs   []string
	Share float64
}

// WeftAlone is the probability that the weft of a request is enough for pieces of a
// length, whatever the warp: it is on the loom. Each part is a pool of its own; without any
// the packages of a side are one.
func WeftAlone(r Request, threaded int, lf measure.Length, parts []Part) (Odds, error) {
	p := chance.Problem{Packages: r.chancePackages()}
	if len(parts) == 0 {
		for _, side := range r.sides() {
			parts = append(parts, Part{r.weftsOf(side), 1 / float64(len(r.sides()))})
		}
	}
	weft := func(g Geometry) measure.Length { return g.Weft(threaded, lf) }
	all := float64(weft(r.Geometry))
	for _, part := range parts {
		var from []int
		for i, k := range r.Packages {
			if slices.Contains(part.IDs, k.ID) {
				from = append(from, i)
			}
		}
		joins := float64(r.Join) * float64(max(0, len(from)-1))
		p.Weft = append(p.Weft, chance.WeftPool{Packages: from, Need: chance.Need{
			Length: math.Ceil(all*part.Share) + joins, Shared: r.loadings(part.Share, weft)}})
	}
	a, err := chance.Fits(p)
	return Odds{a, Binding{Kind: Weft}, &r, p, slices.Repeat([]Binding{{Kind: Weft}}, len(p.Weft))}, err
}

// weftsOf are the packages that serve a side of the weft.
func (r *Request) weftsOf(side int) (ids []string) {
	for _, k := range r.Packages {
		if k.ForWeft && (side == 0 || k.Side == side) {
			ids = append(ids, k.ID)
		}
	}
	return ids
}
