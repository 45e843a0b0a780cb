package chance

import (
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/samplemv"
)

// cube is a Latin hypercube (McKay and others 1979): every error takes each of size
// equally likely slices once, at a random place inside the slice. It is drawn from these
// figures alone, so that the same question gets the same points.
type cube struct {
	errors, size int
	seed, of     uint64
}

// kept are the points of the cubes that were asked for, as normal deviates: the sizes of
// one piece ask for the same ones again and again.
var kept = struct {
	sync.Mutex
	points map[cube][]float64
	all    int
}{points: map[cube][]float64{}}

// mostDrawn is how many figures are kept.
const mostDrawn = 2 << 20

// points are those of a cube, one after another.
func (c cube) points() []float64 {
	kept.Lock()
	points, known := kept.points[c]
	kept.Unlock()
	if known {
		return points
	}
	points = c.draw()
	kept.Lock()
	defer kept.Unlock()
	if kept.all+len(points) <= mostDrawn {
		kept.points[c] = points
		kept.all += len(points)
	}
	return points
}

func (c cube) draw() []float64 {
	points := make([]float64, c.size*c.errors)
	source := rand.NewPCG(c.seed, c.of<<32|uint64(c.size))
	samplemv.LatinHypercube{Q: distmv.NewUnitUniform(c.errors, nil), Src: source}.Sample(
		mat.NewDense(c.size, c.errors, points))
	for i, u := range points {
		points[i] = quantile(u)
	}
	return points
}
