package chance

import "math"

// slack is added to a length before it is compared, so that a package of exactly k
// ends gives k in spite of floating point (mm).
const slack = 1e-6

// point is where on a line the model stands: z + t·u for every t.
type point struct {
	z, u []float64
	// still are the errors that the line stands in for: they are not drawn.
	still []int
	// at holds the packages' lengths on the line, worked out when asked for.
	at    []along
	stamp int
	work  int // packages looked at so far, which is what an answer costs
	bulks []along

	unitAlong grown // of the unit
	needAlong []grown
	counts    counts
	cutting   counts // of a family at a node
}

// along is a value that is from + by·t on the line.
type along struct {
	from, by float64
	stamp    int
}

// grown is what a need comes to over its middle length: at·exp(by·t).
type grown struct{ at, by float64 }

// value is that at t.
func (g grown) value(t float64) float64 {
	if g.by == 0 {
		return g.at
	}
	return g.at * math.Exp(g.by*t)
}

// grown is the growth of a need along the line.
func (p *point) grown(loads []load) grown {
	a := p.sum(0, loads)
	return grown{math.Exp(a.from), a.by}
}

// newPoint is a point among so many errors and packages.
func newPoint(dims, packs int) point {
	return point{z: make([]float64, dims), u: make([]float64, dims), at: make([]along, packs)}
}

// sum is Σ by·z along the line.
func (p *point) sum(from float64, loads []load) along {
	a := along{from: from, stamp: p.stamp}
	for _, l := range loads {
		a.from += l.by * p.z[l.dim]
		a.by += l.by * p.u[l.dim]
	}
	return a
}

// prepare makes the model ready for the present z and u.
func (m *model) prepare() {
	m.stamp++
	m.unitAlong = m.grown(m.unit.loads)
	m.needAlong, m.bulks = m.needAlong[:0], m.bulks[:0]
	for _, w := range m.wefts {
		m.needAlong = append(m.needAlong, m.grown(w.loads))
		m.bulks = append(m.bulks, along{})
	}
}

// length is that of package i at t.
func (m *model) length(i int, t float64) float64 {
	a := &m.at[i]
	if a.stamp != m.stamp {
		k := &m.packs[i]
		*a = m.sum(k.length, k.loads)
		if k.ownDim >= 0 {
			a.from += k.own * m.z[k.ownDim]
			a.by += k.own * m.u[k.ownDim]
		}
	}
	return max(0, a.from+a.by*t)
}

// unitAt is the yarn of one winding unit at t, at least a millimetre.
func (m *model) unitAt(t float64) float64 {
	return max(1, m.unit.length*m.unitAlong.value(t))
}

// luckOf is the share of outcomes below the luck of a dimension.
func (m *model) luckOf(dim int, t float64) float64 { return nearly(m.z[dim] + m.u[dim]*t) }

// lacking is the units that the packages which serve this warp alone leave to be cut.
func (m *model) lacking(d *demand, t, unit float64) int {
	left := d.ends
	if d.many >= 0 {
		left -= m.many(d, t, unit)
	}
	for _, i := range d.plain {
		if left <= 0 {
			return 0
		}
		if k := &m.packs[i]; d.many < 0 || !k.smooth() {
			left -= m.units(i, t, unit)
		}
	}
	return max(0, left)
}

// units counts the whole units that package i gives at t.
func (m *model) units(i int, t, unit float64) int {
	k := &m.packs[i]
	m.work++
	r := m.length(i, t) + slack
	pieces := 0
	switch {
	case len(k.of.Shares) > 0:
		for _, s := range k.of.Shares {
			pieces += int(r * s / unit)
		}
	case k.of.Longest > 0:
		full := math.Floor(r / k.of.Longest)
		pieces = int(full)*int((k.of.Longest+slack)/unit) + int((r-full*k.of.Longest)/unit)
	case k.of.crowd > 0:
		return k.of.crowdUnits(r, unit, m.z[k.luck]+m.u[k.luck]*t)
	case k.luck >= 0:
		m.work += 4 * k.of.Knots
		return cutUnits(r/unit, k.of.Knots, 1-m.luckOf(k.luck, t))
	default:
		return int(r / unit)
	}
	return max(0, pieces-k.of.Knots)
}

// holds says whether the demand is met at t.
func (m *model) holds(d *demand, t float64) bool {
	unit := m.unitAt(t)
	if d.weft >= 0 {
		return m.weaves(d, t, unit)
	}
	left := m.lacking(d, t, unit)
	for _, i := range d.mixed {
		if left <= 0 {
			return true
		}
		left -= m.units(i, t, unit)
	}
	return left <= 0
}

// weaves says whether there is weft enough at t once the warps are cut.
func (m *model) weaves(d *demand, t, unit float64) bool {
	b := &m.bulks[d.weft]
	if b.stamp != m.stamp {
		*b = m.sum(d.bulk.length, d.bulk.loads)
	}
	need := max(0, m.wefts[d.weft].length) * m.needAlong[d.weft].value(t)
	total := slack + max(0, b.from+b.by*t) - need
	m.work += 1 + len(d.mixed)
	for _, i := range d.mixed {
		total += m.length(i, t)
	}
	for _, w := range d.feeds {
		if total < 0 {
			return false
		}
		total -= float64(m.lacking(w, t, unit)) * unit
	}
	return total >= 0
}

// short is the chance, given all errors but the one along the line of demand n, that
// demand n is the first to run short.
func (m *model) short(n int, g grid) float64 {
	d := m.demands[n]
	d.line.rotate(m.z)
	m.prepare()
	own := func(t float64) bool { return m.holds(d, t) }
	earlier := func(t float64) bool {
		for _, e := range m.demands[:n] {
			if !m.holds(e, t) {
				return false
			}
		}
		return true
	}
	if d.line.pivot < 0 {
		if !own(0) && earlier(0) {
			return 1
		}
		return 0
	}
	at := g.root(own, &d.first, g.far())
	top := g.below(at)
	if top < 1e-9 || n == 0 {
		return top
	}
	if !earlier(g.value(at)) {
		return 0
	}
	return max(0, top-g.below(g.root(earlier, &d.before, at)))
}

// shortApart is the chance, given all errors that demands share, that some demand runs
// short: along the errors that each has for itself they do so independently.
func (m *model) shortApart(g grid) float64 {
	for _, d := range m.demands {
		d.apart.rotate(m.z)
	}
	m.prepare()
	hold := 1.0
	for _, d := range m.demands {
		own := func(t float64) bool { return m.holds(d, t) }
		switch {
		case hold < 1e-9:
			return 1
		case d.apart.pivot >= 0:
			hold *= 1 - g.below(g.root(own, &d.alone, g.far()))
		case !own(0):
			return 1
		}
	}
	return 1 - hold
}
