package chance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// manyBalls draws a warp of many balls of one yarn, each of several ends, with knots, errors
// of their own and of all of them, and about as many ends as they give.
func manyBalls(r *rand.Rand) Problem {
	p := Problem{WarpEnd: Need{Length: 3000, Shared: []Loading{{"take-up", 0.02 * r.Float64(), 0}}}}
	pool, units := WarpPool{}, 0.0
	for i := range 40 + r.IntN(120) {
		k := Package{ID: fmt.Sprint(i), Length: 12_000 + 30_000*r.Float64(), Own: 3000 * r.Float64(),
			Shared: []Loading{{"count", 0.03, 0}}}
		if r.IntN(3) == 0 {
			k.Shared = append(k.Shared, Loading{"tare", 0, 600})
		}
		k.Knots = r.IntN(2) * r.IntN(4)
		units += k.Length/p.WarpEnd.Length - float64(k.Knots+1)/2
		p.Packages, pool.Packages = append(p.Packages, k), append(pool.Packages, i)
	}
	pool.Ends = int(units * (0.94 + 0.1*r.Float64()))
	p.Warp = []WarpPool{pool}
	return p
}

// TestAFamilyIsAsSureAsItsPackagesOneByOne holds what is looked up of packages together
// against the sum of each of them.
func TestAFamilyIsAsSureAsItsPackagesOneByOne(t *testing.T) {
	met, open := 0, 0
	for seed := range uint64(24) {
		p := manyBalls(rand.New(rand.NewPCG(seed, 41)))
		together, apart := newModel(&p), newModel(&p)
		for _, d := range apart.demands {
			d.families = nil
		}
		for _, d := range together.demands {
			met += len(d.families)
		}
		one, other := together.evaluate(careful), apart.evaluate(careful)
		if one.p > 0.02 && one.p < 0.98 {
			open++
		}
		if math.Abs(one.p-other.p) > one.err+other.err {
			t.Errorf("seed %d: together %.4f ± %.4f, one by one %.4f ± %.4f", seed, one.p, one.err,
				other.p, other.err)
		}
	}
	if met < 12 || open < 12 {
		t.Errorf("%d families, %d of 24 open", met, open)
	}
}
