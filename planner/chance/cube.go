package chance

import (
	"math/rand/v2"
	"sync"
)

// cube is a Latin hypercube (McKay and others 1979): every error takes each of size
// equally likely slices once, at a random place inside the slice. It is drawn from these
// figures alone, so that the same question gets the same points.
type cube struct {
	size     int
	seed, of uint64
}

// kept are the points of the cubes that were asked for, as normal deviates, a column for
// each error: the sizes of one piece ask for the same ones again and again.
var kept = struct {
	sync.Mutex
	columns map[cube][][]float64
	all     int
}{columns: map[cube][][]float64{}}

// mostDrawn is how many figures are kept.
const mostDrawn = 2 << 20

// columns are the points of a cube in so many errors, by error.
func (c cube) columns(errors int) [][]float64 {
	kept.Lock()
	defer kept.Unlock()
	columns := kept.columns[c]
	for len(columns) < errors {
		columns = append(columns, c.column(uint64(len(columns))))
		kept.all += c.size
	}
	if kept.all > mostDrawn {
		clear(kept.columns)
		kept.all = 0
	}
	kept.columns[c] = columns
	return columns[:errors]
}

// column draws what one error takes.
func (c cube) column(of uint64) []float64 {
	r := rand.New(rand.NewPCG(c.seed<<32|uint64(c.size), c.of<<32|of))
	out := make([]float64, c.size)
	for k, slice := range r.Perm(c.size) {
		out[k] = tabled((float64(slice) + r.Float64()) / float64(c.size))
	}
	return out
}

// tabled is quantile to 1e-5, from a table but for the tails: for errors that are drawn.
func tabled(p float64) float64 {
	if p < tails || p > 1-tails {
		return quantile(p)
	}
	at := p * tabledSteps
	i := int(at)
	t := quantiles()
	return t[i] + (at-float64(i))*(t[i+1]-t[i])
}

// The table of tabled has so many steps; in the tails it would not be straight between them.
const (
	tabledSteps = 4096
	tails       = 0.02
)

var quantiles = sync.OnceValue(func() []float64 {
	t := make([]float64, tabledSteps)
	for i := range t {
		t[i] = quantile(float64(i) / tabledSteps)
	}
	return t
})
