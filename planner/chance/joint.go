package chance

import (
	"cmp"
	"math"
	"slices"
)

// state sums up a partly evaluated block: how many units are cut from packages
// whose rest is weft, and how many units are missing.
type state struct{ cut, missing int }

// joint returns the chance that every warp pool of the block has its ends and
// that the rests and the weft-only packages still cover the weft.
//
// With T the total length of the packages that feed the weft and D the units cut
// from them, the weft is covered where T ≥ need + D·unit. D depends only on the
// packages that serve the warp alone, so P(weft) is exact; from it is taken
// P(weft and a warp pool short). That comes from the joint distribution of count
// and length on a fine grid (grid.go) where few packages are concerned, and else
// from the mean and variance of T given the number of missing units (moments).
func (m *model) joint(k *block) float64 {
	if p, ok := m.plainJoint(k); ok {
		return p
	}
	if q := &k.pools[0]; !m.rough && len(k.pools) == 1 && len(q.mixed) <= gridMost && len(m.parts[m.partOf[q.mixed[0]]].inner) == 0 {
		return m.jointOnGrid(k)
	}
	return m.jointByMoments(k)
}

// gridMost is the number of mixed packages up to which the grid is used. With
// more, T given the count is close to normal: the tests hold the probability to
// 1e-3 of the grid's with 12 and 16 packages of very unequal errors and no shared
// one, and the measured mean difference is 1e-4.
const gridMost = 8

// jointByMoments takes T given the number of missing units as normal with its
// exact mean and variance, and as impossible beyond what that many units and
// their remainders can add up to.
func (m *model) jointByMoments(k *block) float64 {
	states := map[state]cell{{}: {p: 1}}
	reference, variance := m.total(k.weft)
	variance += k.extra
	for i := range k.pools {
		states = combine(states, m.poolStates(&k.pools[i]))
		mean, _ := m.total(k.pools[i].mixed)
		reference += mean
	}
	remainders := m.remainders(k)
	unit := m.p.unitLength()
	p := 0.0
	for _, cut := range byCut(states) {
		need := k.need + float64(cut.cut)*unit - reference
		p += cut.all.exceeds(need, variance)
		for _, s := range cut.short {
			if k.need > (remainders-float64(s.missing))*unit+slack {
				continue
			}
			p -= s.c.exceeds(need, variance)
		}
	}
	return min(1, max(0, p))
}

// plainJoint answers for a block of which no package serves the warp alone, where
// the weft is out of the question or no warp pool can be short, be it for its own
// sake or because the weft asks for more than all remainders.
func (m *model) plainJoint(k *block) (float64, bool) {
	mean, variance := m.total(k.weft)
	need, ample := k.need, true
	for i := range k.pools {
		q := &k.pools[i]
		if len(q.plain) > 0 || len(m.parts[m.partOf[q.mixed[0]]].inner) > 0 {
			return 0, false
		}
		a, v := m.total(q.mixed)
		mean, variance = mean+a, variance+v
		need += float64(q.units) * m.p.unitLength()
		p, ok := m.settled(q.mixed, q.units)
		ample = ample && ok && p == 1
	}
	p := exceeds(need, mean, variance+k.extra)
	bounded := k.need > (m.remainders(k)-1)*m.p.unitLength()+slack
	return p, ample || bounded || p < negligible
}

// poolStates lists what one warp pool may come to.
func (m *model) poolStates(q *pool) map[state]cell {
	plain := m.counts(q.plain, q.units, false)
	mixed := m.counts(q.mixed, q.units, true)
	out := map[state]cell{}
	for i, w := range plain.cells {
		cut := max(0, q.units-plain.lo-i)
		for j, b := range mixed.cells {
			s := state{cut: cut, missing: max(0, cut-mixed.lo-j)}
			c := out[s]
			out[s] = cell{c.p + w.p*b.p, c.q1 + w.p*b.q1, c.q2 + w.p*b.q2}
		}
	}
	return out
}

// combine convolves the states of independent pools.
func combine(a, b map[state]cell) map[state]cell {
	out := make(map[state]cell, len(a)*len(b))
	for _, s := range sorted(a) {
		x := a[s]
		for _, t := range sorted(b) {
			y := b[t]
			key := state{s.cut + t.cut, s.missing + t.missing}
			c := out[key]
			out[key] = cell{
				p:  c.p + x.p*y.p,
				q1: c.q1 + x.p*y.q1 + x.q1*y.p,
				q2: c.q2 + x.p*y.q2 + 2*x.q1*y.q1 + x.q2*y.p,
			}
		}
	}
	return out
}

// sorted returns the states in a fixed order, so that sums are the same every time.
func sorted(states map[state]cell) []state {
	keys := make([]state, 0, len(states))
	for s := range states {
		keys = append(keys, s)
	}
	slices.SortFunc(keys, func(a, b state) int {
		return cmp.Or(cmp.Compare(a.cut, b.cut), cmp.Compare(a.missing, b.missing))
	})
	return keys
}

// missingCell is a state with units missing.
type missingCell struct {
	missing int
	c       cell
}

// cutCell gathers the states with the same number of units cut.
type cutCell struct {
	cut   int
	all   cell
	short []missingCell
}

// byCut gathers states by the units cut.
func byCut(states map[state]cell) []cutCell {
	var out []cutCell
	for _, s := range sorted(states) {
		if len(out) == 0 || out[len(out)-1].cut != s.cut {
			out = append(out, cutCell{cut: s.cut})
		}
		last := &out[len(out)-1]
		c := states[s]
		last.all = cell{last.all.p + c.p, last.all.q1 + c.q1, last.all.q2 + c.q2}
		if s.missing > 0 {
			last.short = append(last.short, missingCell{s.missing, c})
		}
	}
	return out
}

// exceeds returns P(this cell and D + N(0, extra) ≥ need), D having the cell's mean and variance.
func (c cell) exceeds(need, extra float64) float64 {
	if c.p < negligible {
		return 0
	}
	mean := c.q1 / c.p
	variance := max(0, c.q2/c.p-mean*mean) + extra
	if variance < slack*slack {
		variance = 0
	}
	return c.p * exceeds(need, mean, variance)
}

// remainders returns how many units the packages of the block can hold beyond
// their whole ones, where that is bounded: less than one for each strand of a
// single warp pool that feeds the weft alone.
func (m *model) remainders(k *block) float64 {
	if len(k.pools) != 1 || len(k.weft) > 0 {
		return math.Inf(1)
	}
	n := 0.0
	for _, q := range k.pools {
		for _, i := range q.mixed {
			p := &m.p.Packages[i]
			if p.Longest > 0 {
				return math.Inf(1)
			}
			n += float64(max(1, len(p.Shares)) + p.Knots)
		}
	}
	return n
}
