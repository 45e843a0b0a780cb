package chance

import (
	"math"
	"slices"
	"sync"
)

// counts is room for the count of a pool of many packages.
type counts struct {
	sure       int     // units that are certain
	mean, vari float64 // of the rest
	skew       float64 // third central moment of the rest
	pmf        []float64
	starts     []start
	late       []late // packages whose chances are worked out when they are asked for
	one, a, b  []float64
}

// start says of packages that are alike what stands of one in pmf: its least count,
// how many counts, and how many packages they are.
type start struct{ least, counts, n int }

// late is n packages with an error of about a unit or more, and their length without it.
type late struct {
	k *lengthOf
	r float64
	n int
}

// alike is n packages of which all that is drawn of the first holds.
type alike struct{ first, n int }

// alikeOf takes those of the smooth packages together that differ in nothing.
func (m *model) alikeOf(packs []int) []alike {
	type key struct {
		length, own float64
		knots       int
	}
	var out []alike
	seen := map[key]int{}
	for _, i := range packs {
		k := &m.packs[i]
		if !k.smooth() {
			continue
		}
		at, known := seen[key{k.length, k.own, k.of.Knots}]
		if known && slices.Equal(m.packs[out[at].first].loads, k.loads) {
			out[at].n++
			continue
		}
		seen[key{k.length, k.own, k.of.Knots}] = len(out)
		out = append(out, alike{i, 1})
	}
	return out
}

// many returns the count of a pool of many packages at the quantile of its luck: the
// sum of their counts given the shared errors, which are independent of each other.
func (m *model) many(d *demand, t, unit float64) int {
	c := &m.counts
	luck := m.z[d.many] + m.u[d.many]*t
	if len(d.families) > 0 {
		c.reset()
		for _, f := range d.families {
			m.addFamily(f, t, unit)
		}
		m.addAlike(d.others, t, unit)
		if c.vari > wide {
			return c.nearlyNormal(luck)
		}
	}
	c.reset()
	m.addAlike(d.alike, t, unit)
	switch {
	case len(c.starts) == 0 && c.vari == 0:
		return c.sure
	case c.vari > wide:
		return c.nearlyNormal(luck)
	}
	for _, l := range c.late {
		lo, p := c.chances(l.k, l.r, unit)
		c.keep(lo, p, l.n)
	}
	return c.quantile(below(luck))
}

// addAlike adds the counts of packages one by one.
func (m *model) addAlike(all []alike, t, unit float64) {
	for _, g := range all {
		k := &m.packs[g.first]
		m.work += 2 + 4*k.of.Knots
		m.counts.add(k, g.n, m.length(g.first, t)+slack, unit)
	}
}

// reset forgets all counts.
func (c *counts) reset() {
	c.sure, c.mean, c.vari, c.skew = 0, 0, 0, 0
	c.pmf, c.starts, c.late = c.pmf[:0], c.starts[:0], c.late[:0]
}

// nearlyNormal is the quantile of a sum that is nearly normal (Cornish and Fisher 1938).
func (c *counts) nearlyNormal(luck float64) int {
	s := math.Sqrt(c.vari)
	x := luck + c.skew/(s*c.vari)/6*(luck*luck-1)
	return c.sure + int(math.Ceil(c.mean+s*x-0.5))
}

// wide is the variance of a count above which it is taken as nearly normal.
const wide = 9

// add takes in the counts of n packages whose length without its own error is r.
func (c *counts) add(k *lengthOf, n int, r, unit float64) {
	own, all := k.own/unit, float64(n)
	if knots := float64(k.of.Knots); r > 5*k.own && (knots == 0 && own > 0.7 || knots > 0 &&
		r > (knots+3)*unit) {
		// The fraction of a unit, of every piece if there are knots, is uniform.
		c.mean += all * (r/unit - 0.5*(1+knots))
		c.vari += all * (own*own + (1+knots)/12)
		c.late = append(c.late, late{k, r, n})
		return
	}
	lo, p := c.chances(k, r, unit)
	if len(p) == 1 {
		c.sure += n * lo
		return
	}
	mean, vari, skew := moments(p)
	c.mean, c.vari, c.skew = c.mean+all*(mean+float64(lo)), c.vari+all*vari, c.skew+all*skew
	c.keep(lo, p, n)
}

// keep notes the chances of n packages for the exact sum.
func (c *counts) keep(lo int, p []float64, n int) {
	c.pmf = append(c.pmf, p...)
	c.starts = append(c.starts, start{lo, len(p), n})
}

// chances is the distribution of a package's count: the least, and the chances from there.
func (c *counts) chances(k *lengthOf, r, unit float64) (int, []float64) {
	lo, p := k.count(r, unit, c.one[:0])
	c.one = p
	return trimmed(lo, p)
}

// count is the distribution of the whole units of a package: the least, and the
// chances from there, put into p.
func (k *lengthOf) count(r, unit float64, p []float64) (int, []float64) {
	lo, hi := max(0, int((r-5*k.own)/unit)), max(0, int((r+5*k.own)/unit))
	if k.of.Knots > 0 {
		return k.countCut(max(0, lo-k.of.Knots), hi, r, unit, p)
	}
	before := 0.0
	for n := lo; n <= hi; n++ {
		next := 1.0
		if n < hi {
			next = nearly((float64(n+1)*unit - r) / k.own)
		}
		p, before = append(p, next-before), next
	}
	return lo, p
}

// countCut is count for a package with knots: the mean over four equal slices of its
// own error.
func (k *lengthOf) countCut(lo, hi int, r, unit float64, p []float64) (int, []float64) {
	for n := lo; n <= hi; n++ {
		p = append(p, 0)
	}
	errors := fourSlices()
	if k.own == 0 {
		errors = errors[:1]
	}
	share := 1 / float64(len(errors))
	for _, e := range errors {
		a := max(0, r+k.own*e) / unit
		rest := 1.0
		for n := min(hi, int(a)); n > lo && rest > 1e-12; n-- {
			w := cutChance(n, a, k.of.Knots)
			p[n-lo] += w * share
			rest -= w
		}
		p[0] += max(0, rest) * share
	}
	return lo, p
}

// fourSlices are the middles of four equally likely slices of a normal, scaled to a
// variance of one.
var fourSlices = sync.OnceValue(func() []float64 {
	q := make([]float64, 4)
	for i := range q {
		q[i] = quantile((float64(i) + 0.5) / 4)
	}
	scale := norm(q) / math.Sqrt(4)
	for i := range q {
		q[i] /= scale
	}
	return q
})

// quantile is the inverse of below.
func quantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// trimmed cuts off chances that are as good as nothing.
func trimmed(lo int, p []float64) (int, []float64) {
	for len(p) > 1 && p[0] < 1e-10 {
		p = p[1:]
		lo++
	}
	for len(p) > 1 && p[len(p)-1] < 1e-10 {
		p = p[:len(p)-1]
	}
	return lo, p
}

// moments are mean, variance and third central moment.
func moments(p []float64) (mean, vari, skew float64) {
	for n, x := range p {
		mean += float64(n) * x
	}
	for n, x := range p {
		e := float64(n) - mean
		vari += x * e * e
		skew += x * e * e * e
	}
	return mean, vari, skew
}

// quantile convolves the counts and returns the least one with so much at or below it.
func (c *counts) quantile(luck float64) int {
	sum, next := append(c.a[:0], 1), c.b
	base, at := c.sure, 0
	for _, s := range c.starts {
		p := c.pmf[at : at+s.counts]
		at += len(p)
		for range s.n {
			next = convolved(next[:0], sum, p)
			sum, next = next, sum
			base, sum = trimmed(base+s.least, sum)
		}
	}
	c.a, c.b = sum[:0], next[:0]
	below := 0.0
	for n, x := range sum {
		if below += x; below >= luck {
			return base + n
		}
	}
	return base + len(sum) - 1
}

// convolved puts the distribution of the sum into out.
func convolved(out, a, b []float64) []float64 {
	for range len(a) + len(b) - 1 {
		out = append(out, 0)
	}
	for i, x := range a {
		for j, y := range b {
			out[i+j] += x * y
		}
	}
	return out
}
