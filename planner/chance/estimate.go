package chance

import (
	"math"
	"math/bits"
)

// replicates is how many independent sets of points an estimate is made of: their
// scatter is its error. With 8 the scatter itself is too often too small.
const replicates = 16

// effort is how well a probability is worked out.
type effort struct {
	first int     // points of each set to begin with
	bound float64 // error that will do where no verdict hangs on it
	close float64 // error that will do where one does
	work  int     // packages looked at, after which it ends as it is
	way   way
}

// way is how the terms are formed.
type way int

const (
	better  way = iota // whichever has less scatter for its work
	oneEach            // a term for each demand
	oneAll             // one for all at once
)

// UsualBound is the error that a probability is worked out to where no verdict hangs on it.
const UsualBound = 0.002

// careful is for what is shown and judged, quick for ranking and searching.
var (
	careful = effort{first: 32, bound: UsualBound, close: 0.0005, work: 2_000_000}
	quick   = effort{first: 8, bound: 0.01, close: 0.01, work: 40_000}
	// steady is for a greatest size, which is asked at ten sizes or so.
	steady = effort{first: 32, bound: UsualBound, close: 0.0005, work: 200_000}
)

// mostPoints is the most points that an answer is worked out from.
const mostPoints = 1 << 15

// surely is the margin in standard deviations above which a demand gets no more than a
// glance, in case the margin is mistaken.
const surely = 6

// term is a chance of running short, worked out from sets of points: that one demand is
// the first to, or that any is.
type term struct {
	of         int // place of the demand; every for the chance that any runs short
	first      int // points of each set to begin with
	size       int // points of each set; 0 where it is exact
	sets       [replicates]float64
	mean, vari float64
	work       int // packages looked at for it
}

// every stands for all demands at once.
const every = -1

// estimate is a probability with its bound (3.5 standard errors, which hold in 99.7 %).
type estimate struct {
	p, err  float64
	way     way // in which it was found
	weakest int // the demand with the least margin, by its errors
	terms   []term
}

// evaluate works a probability out, refining the term that is worst for its cost until
// the bound is small enough.
func (m *model) evaluate(e effort) estimate {
	terms := m.begin(e)
	for {
		out := sumOf(terms)
		worst := worstOf(terms)
		near := math.Abs(out.p-SureFrom) <= out.err || math.Abs(out.p-LikelyFrom) <= out.err
		switch {
		case out.err <= e.close, out.err <= e.bound && !near, worst < 0,
			m.work+terms[worst].work > e.work:
			out.weakest = m.weakest()
			return out
		}
		m.double(&terms[worst])
	}
}

// weakest is the demand with the least margin; they stand in that order.
func (m *model) weakest() int {
	if len(m.demands) == 0 {
		return 0
	}
	return m.demands[0].id
}

// begin works out a term for each demand, or one for all at once, which is the better
// where each has errors of its own; both, to keep what has less scatter for its work,
// where the way is not given. Where there are many packages each point is dear, and what
// it averages is smooth: fewer do to begin with.
func (m *model) begin(e effort) []term {
	first := max(1, e.first/16, e.first*manyFrom/max(manyFrom, len(m.packs)))
	switch {
	case e.way == oneAll:
		return []term{m.term(every, first)}
	case e.way == oneEach || len(m.demands) < 2:
		return m.beginEach(first)
	}
	before := m.work
	each := m.beginEach(first)
	worth := sumOf(each).err * math.Sqrt(float64(m.work-before))
	before = m.work
	all := []term{m.term(every, first)}
	if sumOf(all).err*math.Sqrt(float64(m.work-before)) < worth {
		return all
	}
	return each
}

// beginEach works out a term for each demand.
func (m *model) beginEach(first int) []term {
	each := make([]term, len(m.demands))
	for n, d := range m.demands {
		size := first
		switch {
		case d.beta > surely:
			size = min(4, first)
		case d.many >= 0: // its packages' own errors are summed up: smooth, and dear
			size = max(1, first/2)
		}
		each[n] = m.term(n, size)
	}
	return each
}

// tables is what tables and quantiles of sums may be off by.
const tables = 1e-4

// worstOf is the term whose error costs least to mend, −1 where the points are used up.
func worstOf(terms []term) int {
	worst, points := -1, 0
	for n, t := range terms {
		points += replicates * t.size
		if t.vari > 0 && (worst < 0 ||
			t.vari/float64(t.size) > terms[worst].vari/float64(terms[worst].size)) {
			worst = n
		}
	}
	if worst < 0 || points+replicates*terms[worst].size > mostPoints {
		return -1
	}
	return worst
}

// sumOf is 1 less the sum of the terms, with its bound.
func sumOf(terms []term) estimate {
	out := estimate{p: 1, terms: terms, way: oneEach}
	if len(terms) == 1 && terms[0].of == every {
		out.way = oneAll
	}
	vari := 0.0
	for _, t := range terms {
		out.p -= t.mean
		vari += t.vari
	}
	out.p = min(1, max(0, out.p))
	out.err = 3.5*math.Sqrt(vari) + tables
	return out
}

// term works one term out from sets of so many points; the seeds are fixed, so the
// same question has the same answer to the last bit.
func (m *model) term(of, size int) term { return m.again(term{of: of, first: size, size: size}) }

// again works a term out anew, from as many points.
func (m *model) again(t term) term {
	out := term{of: t.of, first: max(1, t.first)}
	errors := m.aim(t.of)
	if len(errors) == 0 { // nothing is left to draw
		out.mean = m.fails(t.of, grid{steps: fine})
		return out
	}
	for m.add(&out, errors, out.first); out.size < t.size; {
		m.add(&out, errors, out.size)
	}
	return out
}

// double adds as many points to a term as it has.
func (m *model) double(t *term) { m.add(t, m.aim(t.of), t.size) }

// add adds so many points of their own to each set of a term.
func (m *model) add(t *term, errors []int, size int) {
	before, all := m.work, float64(t.size+size)
	c := cube{size: size, of: uint64(len(m.demands))}
	if t.of != every {
		c.of = uint64(m.demands[t.of].id)
	}
	batch := replicates * bits.Len(uint(t.size/t.first))
	t.mean, t.vari = 0, 0
	for r := range t.sets {
		c.seed = uint64(1 + r + batch)
		t.sets[r] += (m.replicate(t.of, errors, c) - t.sets[r]) * float64(size) / all
		t.mean += t.sets[r] / replicates
	}
	for _, x := range t.sets {
		t.vari += (x - t.mean) * (x - t.mean) / replicates / (replicates - 1)
	}
	t.size += size
	t.work += m.work - before
}

// aim sets the lines that a term is followed along and returns the errors to draw.
func (m *model) aim(of int) []int {
	for j := range m.u {
		m.u[j] = 0
	}
	if of != every {
		d := m.demands[of]
		d.line.into(m.u)
		m.still = m.still[:0]
		if p := d.line.pivot; p >= 0 {
			m.still = append(m.still, d.line.dims[p])
		}
		return d.line.order
	}
	m.still = m.still[:0]
	for _, d := range m.demands {
		d.apart.into(m.u)
		if p := d.apart.pivot; p >= 0 {
			m.still = append(m.still, d.apart.dims[p])
		}
	}
	return m.shared
}

// fails is the chance of a term at the present draw.
func (m *model) fails(of int, g grid) float64 {
	for _, j := range m.still {
		m.z[j] = 0
	}
	if of == every {
		return m.shortApart(g)
	}
	return m.short(of, g)
}

// golden spreads the shifts of the grids of successive points evenly.
const golden = 0.6180339887498949

// replicate is the mean over one Latin hypercube.
func (m *model) replicate(of int, errors []int, c cube) float64 {
	columns := c.columns(len(errors))
	sum := 0.0
	for k := range c.size {
		for a, column := range columns {
			m.z[errors[a]] = column[k]
		}
		_, shift := math.Modf(golden * float64(k+c.size*int(c.seed)))
		sum += m.fails(of, grid{coarse, shift})
	}
	return sum / float64(c.size)
}
