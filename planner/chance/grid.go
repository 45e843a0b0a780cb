package chance

import "math"

// gridFineness is how many grid steps make one standard deviation of the total
// length; gridReach is how many standard deviations of it are kept on each side.
const (
	gridFineness = 24
	gridReach    = 7
)

// grid is the joint distribution of a whole-unit count and a total length: rows
// for counts lo, lo+1, …, and in each the probabilities of the lengths
// (j − mid)·step above the mean.
type grid struct {
	lo, mid int
	rows    [][]float64
}

// jointOnGrid is joint for one warp pool with few mixed packages.
func (m *model) jointOnGrid(k *block) float64 {
	q := &k.pools[0]
	mean, variance := m.total(q.mixed)
	weft, weftVariance := m.total(k.weft)
	weftVariance += k.extra
	step := math.Sqrt(variance) / gridFineness
	var g grid
	if variance > 0 {
		g = m.gridOf(q, step)
	}
	plain := m.counts(q.plain, q.units, false)
	p := 0.0
	for i, w := range plain.cells {
		cut := max(0, q.units-plain.lo-i)
		need := k.need + float64(cut)*m.p.unitLength() - mean - weft
		if variance > 0 {
			p += w.p * (exceeds(need, 0, variance+weftVariance) - g.short(cut, need, step, weftVariance))
		} else if m.counts(q.mixed, q.units, false).lo >= cut {
			p += w.p * exceeds(need, 0, weftVariance)
		}
	}
	return min(1, max(0, p))
}

// gridOf convolves the mixed packages of a pool.
func (m *model) gridOf(q *pool, step float64) grid {
	out := grid{rows: [][]float64{{1}}}
	for _, i := range q.mixed {
		out = out.convolve(spread(m.t[i], m.mean[i], m.sd[i], step), q.units)
	}
	return out
}

// spread lays one package on a grid around its mean. The mass of each grid
// interval goes to both of its ends so that its mean is kept.
func spread(t []float64, mean, sd, step float64) grid {
	lo, hi := countAt(t, mean-reach*sd), countAt(t, mean+reach*sd)
	half := int(math.Ceil(gridReach * sd / step))
	g := grid{lo: lo, mid: half, rows: make([][]float64, hi-lo+1)}
	for k := lo; k <= hi; k++ {
		g.rows[k-lo] = make([]float64, 2*half+1)
	}
	if half == 0 {
		g.rows = g.rows[:1]
		g.lo = countAt(t, mean)
		g.rows[0][0] = 1
		return g
	}
	k, a := lo, mean-float64(half)*step
	for j := range 2 * half {
		left, right := mean+float64(j-half)*step, mean+float64(j+1-half)*step
		for a < right {
			for k < hi && t[k] <= a {
				k++
			}
			b := right
			if k < hi {
				b = min(right, t[k])
			}
			mass, centre := slice(a, b, mean, sd)
			share := (centre - left) / step
			g.rows[k-lo][j] += mass * (1 - share)
			g.rows[k-lo][j+1] += mass * share
			a = b
		}
	}
	return g
}

// slice returns the probability of a…b under a normal distribution and the mean inside it.
func slice(a, b, mean, sd float64) (mass, centre float64) {
	x, y := (a-mean)/sd, (b-mean)/sd
	if x > 0 {
		mass = tail(x) - tail(y)
	} else {
		mass = tail(-y) - tail(-x)
	}
	if mass < 1e-300 {
		return 0, (a + b) / 2
	}
	return mass, min(b, max(a, mean+sd*(density(x)-density(y))/mass))
}

// convolve returns the sum of two independent grids, counts from most upwards in
// one row, lengths clipped to gridReach standard deviations of the whole.
func (g grid) convolve(o grid, most int) grid {
	mid := min(g.mid+o.mid, gridReach*gridFineness)
	rows := max(1, min(len(g.rows)+len(o.rows)-1, most-g.lo-o.lo+1))
	out := grid{lo: min(most, g.lo+o.lo), mid: mid, rows: make([][]float64, rows)}
	for i := range out.rows {
		out.rows[i] = make([]float64, 2*mid+1)
	}
	for i, a := range g.rows {
		for n, b := range o.rows {
			row := out.rows[min(i+n, rows-1)]
			addProducts(row, a, b, mid-g.mid-o.mid)
		}
	}
	return out
}

// addProducts adds the convolution of a and b to row, shifted by offset.
func addProducts(row, a, b []float64, offset int) {
	for x, p := range a {
		if p < 1e-18 {
			continue
		}
		first := max(0, -(offset + x))
		last := min(len(b), len(row)-offset-x)
		for y := first; y < last; y++ {
			row[offset+x+y] += p * b[y]
		}
	}
}

// short returns P(count < cut and the length, with a normal error of the variance
// given added, is need or more above the mean). A grid point stands for the
// lengths half a step to either side.
func (g grid) short(cut int, need, step, variance float64) float64 {
	below := make([]float64, 2*g.mid+1)
	for i, row := range g.rows {
		if g.lo+i >= cut {
			break
		}
		for j, p := range row {
			below[j] += p
		}
	}
	sum := 0.0
	for j, p := range below {
		at := float64(j-g.mid) * step
		switch {
		case p < negligible:
		case variance > 0:
			sum += p * exceeds(need, at, variance+step*step/12)
		default:
			sum += p * min(1, max(0, (at-need)/step+0.5))
		}
	}
	return sum
}
