package chance

import (
	"math"
	"slices"
)

// model is a problem made ready to be evaluated.
type model struct {
	packs   []lengthOf
	unit    needOf // one winding unit: an end, or a loop of two
	wefts   []needOf
	demands []*demand // by how near they are to running short
	dims    int       // independent standard normal errors
	shared  []int     // the errors left to draw where each demand is followed along its own

	point
}

// demand is one thing that can run short: the ends of a warp pool, or a weft.
type demand struct {
	id    int
	ends  int     // winding units wanted
	weft  int     // index of the need; −1 for a warp
	plain []int   // warp: packages that serve it alone
	mixed []int   // packages that serve warp and weft
	many  int     // the dimension of the luck of a pool of many, −1
	alike []alike // the packages whose own errors are in that luck
	// families are those of them that are looked up together, others are the rest.
	families []*family
	others   []alike
	bulk     bulk      // weft: packages that serve it alone
	feeds    []*demand // weft: the warps that its packages serve too

	beta  float64   // margin in standard deviations, roughly
	line  direction // along all errors that matter to it
	apart direction // along those that matter to it alone

	first, before, alone hint // where searches along the lines start
}

// packs are the packages of a demand but for those that serve a weft alone.
func (d *demand) packs() []int { return slices.Concat(d.plain, d.mixed) }

// manyFrom is the number of packages of a warp pool above which their own errors and
// knots are taken together as one, the luck of the pool.
const manyFrom = 24

// newModel prepares p, which must have passed check.
func newModel(p *Problem) *model {
	p = crowded(p)
	m := &model{packs: make([]lengthOf, len(p.Packages))}
	for i := range p.Packages {
		k := &p.Packages[i]
		m.packs[i] = lengthOf{of: k, length: k.Length, own: k.Own, ownDim: -1, luck: -1}
	}
	m.buildDemands(p)
	m.share(p, m.vectors(p))
	for _, d := range m.demands {
		if d.weft < 0 {
			m.ownErrors(p, d)
		} else {
			m.gatherBulk(d, p.Weft[d.weft])
		}
	}
	m.point = newPoint(m.dims, len(m.packs))
	m.drawLines()
	return m
}

// buildDemands makes a demand of every pool, warps first.
func (m *model) buildDemands(p *Problem) {
	wefts := make([]*demand, len(p.Weft))
	weftOf := map[int]*demand{}
	for w, pool := range p.Weft {
		wefts[w] = &demand{id: len(p.Warp) + w, weft: w, many: -1}
		for _, i := range pool.Packages {
			m.packs[i].weft, weftOf[i] = true, wefts[w]
		}
	}
	u := p.unit()
	for c, pool := range p.Warp {
		d := &demand{id: c, ends: (pool.Ends + u - 1) / u, weft: -1, many: -1}
		for _, i := range pool.Packages {
			m.packs[i].warp = true
			if m.packs[i].weft {
				d.mixed = append(d.mixed, i)
			} else {
				d.plain = append(d.plain, i)
			}
		}
		if len(d.mixed) > 0 {
			w := weftOf[d.mixed[0]]
			w.feeds, w.mixed = append(w.feeds, d), append(w.mixed, d.mixed...)
		}
		m.demands = append(m.demands, d)
	}
	m.demands = append(m.demands, wefts...)
}

// ownErrors gives the packages of a warp the dimensions of their own errors, or one
// to a pool of many.
func (m *model) ownErrors(p *Problem, d *demand) {
	rough := 0
	for _, i := range d.plain {
		if m.packs[i].smooth() && (m.packs[i].own > 0 || m.packs[i].of.Knots > 0) {
			rough++
		}
	}
	if rough > manyFrom {
		d.many = m.dims
		d.alike = m.alikeOf(d.plain)
		d.families, d.others = m.families(p, d.alike)
		m.dims++
	}
	for _, i := range d.packs() {
		k := &m.packs[i]
		if d.many >= 0 && k.smooth() && !k.weft {
			continue
		}
		if k.own > 0 {
			k.ownDim = m.dims
			m.dims++
		}
		if k.of.Knots > 0 || k.of.crowd > 0 {
			k.luck = m.dims
			m.dims++
		}
	}
}

// smooth says that a package lies in one length, knots aside.
func (k *lengthOf) smooth() bool {
	return len(k.of.Shares) == 0 && k.of.Longest == 0 && k.of.crowd == 0
}

// gatherBulk adds up the packages that serve weft w alone.
func (m *model) gatherBulk(d *demand, pool WeftPool) {
	by := make([]float64, m.dims)
	own := 0.0
	for _, i := range pool.Packages {
		k := &m.packs[i]
		if k.warp {
			continue
		}
		d.bulk.length += k.length
		own += k.own * k.own
		for _, l := range k.loads {
			by[l.dim] += l.by
		}
	}
	for dim, v := range by {
		if v != 0 {
			d.bulk.loads = append(d.bulk.loads, load{dim, v})
		}
	}
	if own > 0 {
		d.bulk.loads = append(d.bulk.loads, load{m.dims, math.Sqrt(own)})
		m.dims++
	}
}
