package chance

import (
	"math"
	"sort"
)

// cell is what is known of one whole-end count: its probability p, and the first
// and second moments q1 = E[D; count], q2 = E[D²; count] of the deviation D of
// the packages' total length from a reference (mm, mm²).
type cell struct{ p, q1, q2 float64 }

// dist is the distribution of a whole-end count: cells for lo, lo+1, …
type dist struct {
	lo    int
	cells []cell
}

// negligible is the probability below which the ends of a distribution are cut off.
const negligible = 1e-14

// sure returns the distribution that is certainly n.
func sure(n int) dist { return dist{lo: n, cells: []cell{{p: 1}}} }

// single returns the count distribution of one package with conditional mean
// mean and standard deviation sd over its thresholds t.
func single(t []float64, mean, sd float64, moments bool) dist {
	if sd <= 0 {
		return sure(countAt(t, mean))
	}
	lo, hi := countAt(t, mean-reach*sd), countAt(t, mean+reach*sd)
	d := dist{lo: lo, cells: make([]cell, hi-lo+1)}
	a, tailA, phiA := math.Inf(-1), 1.0, 0.0
	for k := lo; k <= hi; k++ {
		b, tailB, phiB := math.Inf(1), 0.0, 0.0
		if k < hi {
			b = (t[k] - mean) / sd
			tailB = tail(b)
			if moments {
				phiB = density(b)
			}
		}
		c := &d.cells[k-lo]
		c.p = tailA - tailB
		if moments {
			c.q1 = sd * (phiA - phiB)
			c.q2 = sd * sd * (c.p + times(a, phiA) - times(b, phiB))
		}
		a, tailA, phiA = b, tailB, phiB
	}
	return d
}

// countAt returns how many thresholds the length reaches.
func countAt(t []float64, length float64) int {
	return sort.SearchFloat64s(t, length+slack+slack/1024)
}

// times returns a·phi, with the limit 0 at infinity.
func times(a, phi float64) float64 {
	if phi == 0 {
		return 0
	}
	return a * phi
}

// tail returns P(Z ≥ z) for a standard normal Z.
func tail(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// density returns the standard normal density at z.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// convolve returns the distribution of the sum of two independent counts, with
// everything from most upwards gathered in one cell at most.
func convolve(a, b dist, most int, moments bool) dist {
	lo := a.lo + b.lo
	if lo >= most && !moments {
		return sure(most)
	}
	n := len(a.cells) + len(b.cells) - 1
	if lo+n-1 > most {
		n = max(1, most-lo+1)
	}
	out := dist{lo: min(lo, most), cells: make([]cell, n)}
	for i, x := range a.cells {
		for j, y := range b.cells {
			c := &out.cells[min(i+j, n-1)]
			c.p += x.p * y.p
			if moments {
				c.q1 += x.p*y.q1 + x.q1*y.p
				c.q2 += x.p*y.q2 + 2*x.q1*y.q1 + x.q2*y.p
			}
		}
	}
	return out.trimmed()
}

// trimmed drops negligible cells at both ends.
func (d dist) trimmed() dist {
	for len(d.cells) > 1 && d.cells[0].p < negligible {
		d.cells = d.cells[1:]
		d.lo++
	}
	for len(d.cells) > 1 && d.cells[len(d.cells)-1].p < negligible {
		d.cells = d.cells[:len(d.cells)-1]
	}
	return d
}

// atLeast returns the probability that the count is n or more.
func (d dist) atLeast(n int) float64 {
	sum := 0.0
	for i, c := range d.cells {
		if d.lo+i >= n {
			sum += c.p
		}
	}
	return min(1, sum)
}

// shifted returns the distribution with delta added to every deviation.
func (d dist) shifted(delta float64) dist {
	out := dist{lo: d.lo, cells: make([]cell, len(d.cells))}
	for i, c := range d.cells {
		out.cells[i] = cell{p: c.p, q1: c.q1 + delta*c.p, q2: c.q2 + 2*delta*c.q1 + delta*delta*c.p}
	}
	return out
}

// plus returns d + w·o, cell by cell.
func (d dist) plus(w float64, o dist) dist {
	if len(d.cells) == 0 {
		d.lo = o.lo
	}
	lo := min(d.lo, o.lo)
	hi := max(d.lo+len(d.cells), o.lo+len(o.cells))
	if lo < d.lo || hi > d.lo+len(d.cells) {
		grown := make([]cell, hi-lo)
		copy(grown[d.lo-lo:], d.cells)
		d = dist{lo: lo, cells: grown}
	}
	for i, c := range o.cells {
		t := &d.cells[o.lo+i-d.lo]
		t.p += w * c.p
		t.q1 += w * c.q1
		t.q2 += w * c.q2
	}
	return d
}

// distance returns the sum of absolute differences of the probabilities.
func (d dist) distance(o dist) float64 {
	diff := dist{}.plus(1, d).plus(-1, o)
	sum := 0.0
	for _, c := range diff.cells {
		sum += math.Abs(c.p)
	}
	return sum
}
