package chance

import "math"

// probability returns the chance that every block is covered.
func (m *model) probability() float64 {
	all := make([]int, len(m.blocks))
	for i := range all {
		all[i] = i
	}
	return m.covered(all, m.outer, 1)
}

// covered returns the chance that all blocks given are covered, with the errors
// fs not yet conditioned on. Blocks that no error ties together are independent.
func (m *model) covered(blocks []int, fs []*factor, depth int) float64 {
	product := 1.0
	for _, g := range m.components(blocks, fs) {
		if product == 0 {
			return 0
		}
		if len(g.factors) == 0 {
			for _, b := range g.items {
				product *= m.block(b)
			}
			continue
		}
		f, rest := m.outermost(g.factors)
		product *= expect(func(z float64) float64 {
			return m.given(f, z, func() float64 { return m.covered(g.items, rest, depth+1) })
		}, m.tol/float64(depth))
	}
	return product
}

// given evaluates do with the error f at z standard deviations.
func (m *model) given(f *factor, z float64, do func() float64) float64 {
	saved := make([]float64, len(f.at))
	for n, i := range f.at {
		saved[n] = m.mean[i]
		m.mean[i] += z * f.load[i]
	}
	v := do()
	for n, i := range f.at {
		m.mean[i] = saved[n]
	}
	return v
}

// component is a set of blocks, or of packages, and the errors that tie them together.
type component struct {
	items   []int
	factors []*factor
}

// components divides blocks by the errors that tie them.
func (m *model) components(blocks []int, fs []*factor) []component {
	return divide(blocks, fs, func(i int) int { return m.parts[m.partOf[i]].block })
}

// divide splits items into sets tied by errors; of tells the item of a package.
func divide(items []int, fs []*factor, of func(pkg int) int) []component {
	place := make(map[int]int, len(items))
	for n, it := range items {
		place[it] = n
	}
	u := newUnion(len(items))
	for _, f := range fs {
		for _, i := range f.at[1:] {
			u.join(place[of(f.at[0])], place[of(i)])
		}
	}
	var out []component
	for _, g := range u.groups() {
		var c component
		for _, n := range g {
			c.items = append(c.items, items[n])
		}
		for _, f := range fs {
			if u.root(place[of(f.at[0])]) == g[0] {
				c.factors = append(c.factors, f)
			}
		}
		out = append(out, c)
	}
	return out
}

// outermost picks the error to condition on first: the one that ties most blocks,
// then the weakest, since the strongest, integrated last, smooths what is outside it.
func (m *model) outermost(fs []*factor) (*factor, []*factor) {
	best := 0
	for n := 1; n < len(fs); n++ {
		a, b := m.blocksOf(fs[n]), m.blocksOf(fs[best])
		if a > b || a == b && fs[n].strength() < fs[best].strength() {
			best = n
		}
	}
	return fs[best], without(fs, best)
}

// without returns fs less its n-th member.
func without(fs []*factor, n int) []*factor {
	rest := append([]*factor(nil), fs[:n]...)
	return append(rest, fs[n+1:]...)
}

// blocksOf counts the blocks that an error touches.
func (m *model) blocksOf(f *factor) int {
	seen := map[int]bool{}
	for _, i := range f.at {
		seen[m.parts[m.partOf[i]].block] = true
	}
	return len(seen)
}

// strength returns the sum of the error's loadings, in mm.
func (f *factor) strength() float64 {
	sum := 0.0
	for _, i := range f.at {
		sum += math.Abs(f.load[i])
	}
	return sum
}

// block returns the chance that block b is covered, its outer errors given.
func (m *model) block(b int) float64 {
	k := &m.blocks[b]
	switch {
	case len(k.pools) == 0:
		return m.weftOnly(k)
	case !k.hasWeft:
		q := &k.pools[0]
		if v, ok := m.settled(q.plain, q.units); ok {
			return v
		}
		return m.counts(q.plain, q.units, false).atLeast(q.units)
	default:
		return m.joint(k)
	}
}

// weftOnly is a total of lengths: normal.
func (m *model) weftOnly(k *block) float64 {
	mean, variance := m.total(k.weft)
	return exceeds(k.need, mean, variance+k.extra)
}

// total returns mean and own variance of the packages' summed length.
func (m *model) total(pkgs []int) (mean, variance float64) {
	for _, i := range pkgs {
		mean += m.mean[i]
		variance += m.sd[i] * m.sd[i]
	}
	return mean, variance
}

// exceeds returns P(X ≥ need) for a normal X; exact lengths are compared with slack.
func exceeds(need, mean, variance float64) float64 {
	if variance <= 0 {
		if mean+slack >= need {
			return 1
		}
		return 0
	}
	return tail((need - mean) / math.Sqrt(variance))
}

// settled answers without a convolution where the packages can't but reach, or can't reach, units.
// It holds only where no inner error moves the packages.
func (m *model) settled(pkgs []int, units int) (float64, bool) {
	if units <= 0 {
		return 1, true
	}
	if len(pkgs) == 0 {
		return 0, true
	}
	if len(m.parts[m.partOf[pkgs[0]]].inner) > 0 {
		return 0, false
	}
	least, most := 0, 0
	for _, i := range pkgs {
		least += countAt(m.t[i], m.mean[i]-reach*m.sd[i])
		most += countAt(m.t[i], m.mean[i]+reach*m.sd[i])
	}
	if least >= units {
		return 1, true
	}
	return 0, most < units
}

// counts returns the distribution of the whole units that the packages of one
// part give, gathered at most, its inner errors integrated.
func (m *model) counts(pkgs []int, most int, moments bool) dist {
	if len(pkgs) == 0 {
		return sure(0)
	}
	return m.countsOf(pkgs, m.parts[m.partOf[pkgs[0]]].inner, most, moments)
}

// countsOf convolves the packages, integrating the errors fs inside each set that they tie.
func (m *model) countsOf(pkgs []int, fs []*factor, most int, moments bool) dist {
	out := sure(0)
	if len(fs) == 0 {
		for _, i := range pkgs {
			out = convolve(out, single(m.t[i], m.mean[i], m.sd[i], moments), most, moments)
		}
		return out
	}
	for _, c := range divide(pkgs, fs, func(i int) int { return i }) {
		out = convolve(out, m.tied(c, most, moments), most, moments)
	}
	return out
}

// tied returns the counts of packages that inner errors tie together.
func (m *model) tied(c component, most int, moments bool) dist {
	if len(c.factors) == 0 {
		return m.countsOf(c.items, nil, most, moments)
	}
	widest := 0
	for n, f := range c.factors {
		if len(f.at) > len(c.factors[widest].at) {
			widest = n
		}
	}
	f, rest := c.factors[widest], without(c.factors, widest)
	return expectDist(func(z float64) dist {
		var d dist
		m.given(f, z, func() float64 {
			d = m.countsOf(c.items, rest, most, moments)
			return 0
		})
		if !moments {
			return d
		}
		return d.shifted(z * f.sum())
	}, m.tol)
}

// sum returns the signed sum of the error's loadings, in mm.
func (f *factor) sum() float64 {
	s := 0.0
	for _, i := range f.at {
		s += f.load[i]
	}
	return s
}
