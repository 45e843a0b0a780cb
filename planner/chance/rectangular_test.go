package chance

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A scale's step is a rectangular error (JCGM 100:2008, 4.3.7), and is reckoned with as a
// normal one of the same standard deviation. Plain sampling of the rectangular one says how
// far the probability is off for that: beside the doubt of a count less than a hundredth
// wherever the step is not above a fifth of a ball; alone, without any other doubt, up to
// six hundredths, and never beyond the ends of the rectangle.
func TestARectangularStepOfTheScaleIsNearEnoughToANormalOne(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for _, c := range []struct {
		balls            int
		mass, step, rest float64 // g, g, relative doubt of the rest
		most             float64
	}{
		{1, 100, 1, 0.03, 0.01}, {1, 50, 5, 0.05, 0.01}, {1, 50, 10, 0.05, 0.02},
		{2, 50, 10, 0.05, 0.01}, {3, 25, 5, 0.03, 0.01},
		{5, 12, 10, 0.05, 0.02}, {1, 12, 10, 0.05, 0.06}, {1, 100, 10, 0, 0.065},
		{3, 50, 10, 0, 0.02},
	} {
		worst := 0.0
		for z := -2.0; z <= 2; z += 0.25 {
			packs := make([]Package, c.balls)
			pool := WeftPool{}
			for i := range packs {
				packs[i] = Package{Length: 1000 * c.mass, Own: 1000 * c.step / math.Sqrt(12)}
				if c.rest > 0 {
					packs[i].Shared = []Loading{{Factor: "count", Relative: c.rest}}
				}
				pool.Packages = append(pool.Packages, i)
			}
			whole := 1000 * c.mass * float64(c.balls)
			spread := math.Hypot(c.rest*whole,
				1000*c.step/math.Sqrt(12)*math.Sqrt(float64(c.balls)))
			pool.Need.Length = whole - z*spread
			a, err := Fits(Problem{Packages: packs, Weft: []WeftPool{pool}})
			if err != nil {
				t.Fatal(err)
			}
			enough, draws := 0, 60_000
			for range draws {
				sum, count := 0.0, c.rest*r.NormFloat64()
				for range packs {
					sum += 1000*c.mass*(1+count) + 1000*c.step*(r.Float64()-0.5)
				}
				if sum >= pool.Need.Length {
					enough++
				}
			}
			worst = max(worst, math.Abs(a.Probability-float64(enough)/float64(draws)))
		}
		t.Logf("%d of %g g by %g g, %g beside: %.3f", c.balls, c.mass, c.step, c.rest, worst)
		if worst > c.most {
			t.Errorf("%d of %g g on a scale of %g g, %g of doubt beside it: off by %.3f", c.balls,
				c.mass, c.step, c.rest, worst)
		}
	}
}
