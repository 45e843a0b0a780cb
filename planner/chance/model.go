package chance

import (
	"math"
	"sort"
)

// factor is one shared error: mm of each package's length for one standard deviation.
type factor struct {
	name string
	load map[int]float64
	at   []int // the packages of load, ascending
}

// pool is a warp pool sorted by what becomes of the rest of each package.
type pool struct {
	units int   // winding units wanted
	plain []int // packages that serve this warp only
	mixed []int // packages whose rest is weft
}

// block is a set of demands tied together by packages that serve two of them.
type block struct {
	pools   []pool
	weft    []int   // packages that serve the weft only
	need    float64 // weft wanted, mm
	hasWeft bool
	extra   float64 // variance of the weft-only total from errors that touch nothing else, mm²
}

// part is one set of packages inside a block that is handled in one go.
type part struct {
	block int
	pkgs  []int
	weft  bool
	inner []*factor // errors inside this part only, integrated count by count
}

// model is a problem made ready to be evaluated. mean holds the packages' lengths
// given the shared errors conditioned on so far.
type model struct {
	p      *Problem
	mean   []float64
	sd     []float64
	t      [][]float64
	blocks []block
	parts  []part
	partOf []int // part of each package, −1 if unused
	outer  []*factor
	tol    float64
	rough  bool // moments instead of the grid
}

// tolerance is the error aimed at in each panel of an integral over shared
// errors, roughTolerance that of a rough answer.
const (
	tolerance      = 1e-5
	roughTolerance = 1e-3
)

// newModel prepares p, which must have passed check.
func newModel(p *Problem) *model {
	m := &model{p: p, mean: make([]float64, len(p.Packages)), sd: make([]float64, len(p.Packages)), tol: tolerance}
	for i, k := range p.Packages {
		m.mean[i] = k.Length
		m.sd[i] = k.Own
	}
	m.buildBlocks()
	m.buildParts()
	m.placeFactors(m.mergedFactors())
	m.buildThresholds()
	return m
}

// buildBlocks ties warp and weft pools that share packages.
func (m *model) buildBlocks() {
	weftOf := make([]int, len(m.p.Packages))
	for i := range weftOf {
		weftOf[i] = -1
	}
	for w, pool := range m.p.Weft {
		for _, i := range pool.Packages {
			weftOf[i] = w
		}
	}
	sets := newUnion(len(m.p.Warp) + len(m.p.Weft))
	for c, pool := range m.p.Warp {
		for _, i := range pool.Packages {
			if weftOf[i] >= 0 {
				sets.join(c, len(m.p.Warp)+weftOf[i])
			}
		}
	}
	for _, group := range sets.groups() {
		m.addBlock(group, weftOf)
	}
}

// addBlock turns the demands of one group into a block. It holds one weft pool at
// most, since check refuses a warp pool that feeds two.
func (m *model) addBlock(group []int, weftOf []int) {
	var b block
	inWarp := map[int]bool{}
	u := m.p.unit()
	for _, g := range group {
		if g >= len(m.p.Warp) {
			continue
		}
		w := m.p.Warp[g]
		q := pool{units: (w.Ends + u - 1) / u}
		for _, i := range w.Packages {
			inWarp[i] = true
			if weftOf[i] >= 0 {
				q.mixed = append(q.mixed, i)
			} else {
				q.plain = append(q.plain, i)
			}
		}
		b.pools = append(b.pools, q)
	}
	for _, g := range group {
		if g < len(m.p.Warp) {
			continue
		}
		w := m.p.Weft[g-len(m.p.Warp)]
		b.hasWeft = true
		b.need = w.Need
		for _, i := range w.Packages {
			if !inWarp[i] {
				b.weft = append(b.weft, i)
			}
		}
	}
	m.blocks = append(m.blocks, b)
}

// buildParts lists the parts of every block and where each package stands.
func (m *model) buildParts() {
	m.partOf = make([]int, len(m.p.Packages))
	for i := range m.partOf {
		m.partOf[i] = -1
	}
	add := func(block int, pkgs []int, weft bool) {
		for _, i := range pkgs {
			m.partOf[i] = len(m.parts)
		}
		m.parts = append(m.parts, part{block: block, pkgs: pkgs, weft: weft})
	}
	for at, b := range m.blocks {
		for _, q := range b.pools {
			add(at, q.plain, false)
			add(at, q.mixed, false)
		}
		add(at, b.weft, true)
	}
}

// mergedFactors gathers the shared errors of the packages in use. Those that
// touch one package join its own; those with proportional loadings become one.
func (m *model) mergedFactors() []*factor {
	byName := map[string]*factor{}
	for i, k := range m.p.Packages {
		if m.partOf[i] < 0 {
			continue
		}
		for _, l := range k.Shared {
			load := l.Relative*k.Length + l.Absolute
			if load == 0 {
				continue
			}
			f := byName[l.Factor]
			if f == nil {
				f = &factor{name: l.Factor, load: map[int]float64{}}
				byName[l.Factor] = f
			}
			f.load[i] += load
		}
	}
	var all []*factor
	for _, f := range sortedFactors(byName) {
		if len(f.at) == 1 {
			m.sd[f.at[0]] = math.Hypot(m.sd[f.at[0]], f.load[f.at[0]])
			continue
		}
		if !mergeInto(all, f) {
			all = append(all, f)
		}
	}
	return all
}

// sortedFactors returns the factors by name, each with its packages in order.
func sortedFactors(byName map[string]*factor) []*factor {
	var all []*factor
	for _, f := range byName {
		for i, v := range f.load {
			if v != 0 {
				f.at = append(f.at, i)
			}
		}
		sort.Ints(f.at)
		if len(f.at) > 0 {
			all = append(all, f)
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].name < all[j].name })
	return all
}

// mergeInto adds f to the first factor with proportional loadings, if there is one.
func mergeInto(all []*factor, f *factor) bool {
	for _, g := range all {
		if ratio, ok := proportional(g, f); ok {
			scale := math.Sqrt(1 + ratio*ratio)
			for i := range g.load {
				g.load[i] *= scale
			}
			return true
		}
	}
	return false
}

// proportional reports whether f's loadings are one multiple of g's, and which.
func proportional(g, f *factor) (float64, bool) {
	if len(g.at) != len(f.at) {
		return 0, false
	}
	ratio := f.load[f.at[0]] / g.load[f.at[0]]
	for _, i := range f.at {
		if g.load[i] == 0 || math.Abs(f.load[i]-ratio*g.load[i]) > 1e-9*math.Abs(f.load[i]) {
			return 0, false
		}
	}
	return ratio, true
}

// placeFactors decides how each shared error is integrated: as variance (weft
// only), inside one part, or outside of everything that it touches.
func (m *model) placeFactors(all []*factor) {
	for _, f := range all {
		home, one := m.partOf[f.at[0]], true
		sum := 0.0
		for _, i := range f.at {
			one = one && m.partOf[i] == home
			sum += f.load[i]
		}
		switch {
		case one && m.parts[home].weft:
			m.blocks[m.parts[home].block].extra += sum * sum
		case one && len(f.at) < len(m.parts[home].pkgs):
			m.parts[home].inner = append(m.parts[home].inner, f)
		default:
			m.outer = append(m.outer, f)
		}
	}
	m.outer = reduced(m.outer)
}

// buildThresholds computes each warp package's thresholds as far as its length may reach.
func (m *model) buildThresholds() {
	m.t = make([][]float64, len(m.p.Packages))
	spread := make([]float64, len(m.p.Packages))
	copy(spread, m.sd)
	add := func(fs []*factor) {
		for _, f := range fs {
			for i, v := range f.load {
				spread[i] += math.Abs(v)
			}
		}
	}
	add(m.outer)
	for _, pt := range m.parts {
		add(pt.inner)
	}
	for _, b := range m.blocks {
		for _, q := range b.pools {
			for _, i := range append(append([]int(nil), q.plain...), q.mixed...) {
				limit := m.mean[i] + (reach+1)*spread[i] + 1
				m.t[i] = thresholds(&m.p.Packages[i], m.p.unitLength(), limit, q.units)
			}
		}
	}
}
