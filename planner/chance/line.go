package chance

import (
	"math"
	"slices"
	"sort"
	"sync"

	"gonum.org/v1/gonum/floats"
)

// direction is the line through the space of errors along which a demand is followed.
type direction struct {
	dims  []int     // the errors along which it runs
	u     []float64 // its unit vector, by dims
	pivot int       // index of the greatest of u; −1 where there is no line
	order []int     // all other errors, those that matter most first
}

// gradient is how far each error moves the margin of d, and the margin itself, both in
// mm, whole ends being taken at their mean.
func (m *model) gradient(d *demand) ([]float64, float64) {
	g, margin := make([]float64, m.dims), 0.0
	if d.weft < 0 {
		for _, i := range d.packs() {
			margin += m.packs[i].addTo(g, d, m.unit.length)
		}
		return g, margin - m.useUnits(g, d.ends)
	}
	margin = d.bulk.length
	addLoads(g, d.bulk.loads, 1)
	for _, i := range d.mixed {
		k := &m.packs[i]
		margin += k.length
		addLoads(g, k.loads, 1)
		if k.ownDim >= 0 {
			g[k.ownDim] += k.own
		}
	}
	for _, w := range d.feeds {
		cut := float64(w.ends)
		for _, i := range w.plain {
			cut -= max(0, m.packs[i].length/m.unit.length-m.packs[i].lost())
		}
		margin -= m.useUnits(g, int(math.Ceil(max(0, cut))))
	}
	need := m.wefts[d.weft]
	addLoads(g, need.loads, -need.length)
	return g, margin - need.length
}

// alone are the dimensions that a package has for itself.
func (k *lengthOf) alone() []int {
	return slices.DeleteFunc([]int{k.ownDim, k.luck}, func(dim int) bool { return dim < 0 })
}

// lost is the mean part of the ends that whole ends and knots take from a package.
func (k *lengthOf) lost() float64 {
	if k.of.crowd > 0 {
		return k.of.rest
	}
	return 0.5 * float64(1+k.of.Knots)
}

// addTo adds what a package of a warp does to the gradient, and returns the length
// that its whole ends make.
func (k *lengthOf) addTo(g []float64, d *demand, unit float64) float64 {
	addLoads(g, k.loads, 1)
	luck := unit * math.Sqrt(float64(k.of.Knots)/6+float64(k.of.crowd)/12)
	switch {
	case k.ownDim < 0 && k.luck < 0 && d.many >= 0:
		g[d.many] = math.Hypot(g[d.many], math.Hypot(k.own, luck))
	default:
		if k.ownDim >= 0 {
			g[k.ownDim] += k.own
		}
		if k.luck >= 0 {
			g[k.luck] += luck
		}
	}
	return max(0, k.length-unit*k.lost())
}

// useUnits is the yarn of so many units, whose errors it takes off the gradient.
func (m *model) useUnits(g []float64, units int) float64 {
	yarn := float64(units) * m.unit.length
	addLoads(g, m.unit.loads, -yarn)
	return yarn
}

// addLoads adds loads to a gradient, times a factor.
func addLoads(g []float64, loads []load, by float64) {
	for _, l := range loads {
		g[l.dim] += by * l.by
	}
}

// ways says of every error whether it only lengthens (1), only shortens (2) or does
// both (3): along the last kind nothing is monotone.
func (m *model) ways() []int {
	ways := make([]int, m.dims)
	touch := func(loads []load, sign float64) {
		for _, l := range loads {
			if l.by*sign > 0 {
				ways[l.dim] |= 1
			} else {
				ways[l.dim] |= 2
			}
		}
	}
	for i := range m.packs {
		k := &m.packs[i]
		touch(k.loads, 1)
		for _, dim := range k.alone() {
			ways[dim] = 1
		}
	}
	touch(m.unit.loads, -1)
	for _, w := range m.wefts {
		touch(w.loads, -1)
	}
	for _, d := range m.demands {
		touch(d.bulk.loads, 1)
		if d.many >= 0 {
			ways[d.many] = 1
		}
	}
	return ways
}

// drawLines gives every demand its line: its gradient, less the errors that help one
// thing and harm another. Then every demand is monotone along every line. It puts those
// that are likeliest to run short first.
func (m *model) drawLines() {
	ways := m.ways()
	weight := make([]float64, m.dims) // what the demands together feel of each error
	for _, d := range m.demands {
		g, margin := m.gradient(d)
		size := norm(g)
		switch {
		case size > 0:
			d.beta = margin / size
		case margin < -slack:
			d.beta = math.Inf(-1)
		default:
			d.beta = math.Inf(1)
		}
		d.line = lineAlong(g, ways)
		for j, v := range g {
			if size > 0 {
				weight[j] += (below(-d.beta) + 1e-6) * v * v / size / size
			}
		}
	}
	for _, d := range m.demands {
		d.line.rest(ways, weight)
	}
	m.drawApart(ways, weight)
	sort.SliceStable(m.demands, func(a, b int) bool {
		return m.demands[a].beta < m.demands[b].beta
	})
}

// drawApart gives every demand the line along the errors that it has for itself, and
// lists the errors that are then left to draw.
func (m *model) drawApart(ways []int, weight []float64) {
	felt := make([]int, m.dims) // by how many demands
	of := make([][]bool, len(m.demands))
	for n, d := range m.demands {
		of[n] = m.feels(d)
		for j, does := range of[n] {
			if does {
				felt[j]++
			}
		}
	}
	pivots := direction{pivot: -1}
	for n, d := range m.demands {
		g, _ := m.gradient(d)
		for j := range g {
			if felt[j] != 1 || !of[n][j] {
				g[j] = 0
			}
		}
		if d.apart = lineAlong(g, ways); d.apart.pivot >= 0 {
			ways[d.apart.dims[d.apart.pivot]] = 0 // is not drawn
		}
	}
	pivots.rest(ways, weight)
	m.shared = pivots.order
}

// feels says which errors have a part in a demand.
func (m *model) feels(d *demand) []bool {
	out := make([]bool, m.dims)
	mark := func(loads []load) {
		for _, l := range loads {
			out[l.dim] = true
		}
	}
	packs := d.packs()
	warps := d.feeds
	if d.weft < 0 {
		warps = []*demand{d}
	} else {
		mark(d.bulk.loads)
		mark(m.wefts[d.weft].loads)
	}
	for _, w := range warps {
		mark(m.unit.loads)
		packs = append(packs, w.plain...)
		if w.many >= 0 {
			out[w.many] = true
		}
	}
	for _, i := range packs {
		k := &m.packs[i]
		mark(k.loads)
		for _, dim := range k.alone() {
			out[dim] = true
		}
	}
	return out
}

// into writes the direction into u.
func (l *direction) into(u []float64) {
	for n, j := range l.dims {
		u[j] = l.u[n]
	}
}

// lineAlong is the direction of the one-way part of a gradient.
func lineAlong(g []float64, ways []int) direction {
	l := direction{pivot: -1}
	for j, v := range g {
		if ways[j] == 1 && v > 0 || ways[j] == 2 && v < 0 {
			l.dims, l.u = append(l.dims, j), append(l.u, v)
		}
	}
	size := norm(l.u)
	for n := range l.u {
		l.u[n] /= size
		if l.pivot < 0 || math.Abs(l.u[n]) > math.Abs(l.u[l.pivot]) {
			l.pivot = n
		}
	}
	return l
}

// rest lists the errors that are left to draw.
func (l *direction) rest(ways []int, weight []float64) {
	for j, way := range ways {
		if way != 0 && (l.pivot < 0 || j != l.dims[l.pivot]) {
			l.order = append(l.order, j)
		}
	}
	sort.SliceStable(l.order, func(a, b int) bool {
		return weight[l.order[a]] > weight[l.order[b]]
	})
}

// rotate turns z, whose pivot is 0, into the plane across the line (a reflection of
// Householder's, which takes the pivot's axis to the line).
func (l *direction) rotate(z []float64) {
	if l.pivot < 0 {
		return
	}
	sign := 1.0
	if l.u[l.pivot] < 0 {
		sign = -1
	}
	size := 2 * (1 - sign*l.u[l.pivot])
	if size < 1e-14 {
		return
	}
	dot := 0.0
	for n, j := range l.dims {
		dot -= l.u[n] * z[j]
	}
	f := 2 * dot / size
	for n, j := range l.dims {
		z[j] += f * l.u[n]
	}
	z[l.dims[l.pivot]] -= f * sign
}

// norm is the Euclidean length.
func norm(v []float64) float64 { return floats.Norm(v, 2) }

// below is the standard normal distribution function.
func below(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// nearly is below to 2e-6, from a table: for errors that are averaged anyhow.
func nearly(x float64) float64 {
	at := (x + 8) * tableSteps
	switch {
	case at <= 0:
		return 0
	case at >= 16*tableSteps:
		return 1
	}
	i := int(at)
	t := belows()
	return t[i] + (at-float64(i))*(t[i+1]-t[i])
}

// tableSteps is the steps of the table in a standard deviation.
const tableSteps = 128

var belows = sync.OnceValue(func() []float64 {
	t := make([]float64, 16*tableSteps+2)
	for i := range t {
		t[i] = below(float64(i)/tableSteps - 8)
	}
	return t
})
