package learn

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// joint conditions the joint normal of two quantities and all observations at
// once: mean + S·H'·(H·S·H' + R)⁻¹·(y − H·mean), by gonum's solver. The formula
// is that of the conditional normal distribution (any multivariate text).
func joint(b belief, obs []observation) (mean, vari pair) {
	n := len(obs)
	s := mat.NewDense(2, 2, []float64{b.vari[0], b.cov, b.cov, b.vari[1]})
	h, miss := mat.NewDense(n, 2, nil), mat.NewDense(n, 1, nil)
	for i, o := range obs {
		h.SetRow(i, o.take[:])
		miss.Set(i, 0, o.y-o.take[0]*b.mean[0]-o.take[1]*b.mean[1])
	}
	var sh, c, gain, shift, less mat.Dense
	sh.Mul(s, h.T())
	c.Mul(h, &sh)
	for i, o := range obs {
		c.Set(i, i, c.At(i, i)+o.variance)
	}
	if err := gain.Solve(&c, sh.T()); err != nil {
		panic(err)
	}
	shift.Mul(gain.T(), miss)
	less.Mul(gain.T(), sh.T())
	for i := range mean {
		mean[i] = b.mean[i] + shift.At(i, 0)
		vari[i] = s.At(i, i) - less.At(i, i)
	}
	return mean, vari
}

func TestObservingOneByOneIsConditioningOnAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-0.5, 0.5)
		b := belief{mean: pair{number.Draw(t, "m0"), number.Draw(t, "m1")}, vari: pair{0.01, 0.02},
			cov: 0.005}
		all := []observation{}
		for range rapid.IntRange(1, 6).Draw(t, "n") {
			take := rapid.SampledFrom([]pair{{1, 0}, {0, 1}, {1, 1}, {-1, 1}}).Draw(t, "take")
			all = append(all, observation{take, number.Draw(t, "y"),
				rapid.Float64Range(1e-4, 0.1).Draw(t, "v")})
		}
		mean, vari := joint(b, all)
		for _, o := range all {
			b.observe(o)
		}
		for i := range mean {
			if math.Abs(b.mean[i]-mean[i]) > 1e-9 || math.Abs(b.vari[i]-vari[i]) > 1e-9 {
				t.Fatalf("quantity %d: %g ± %g², at once %g ± %g²", i, b.mean[i], b.vari[i],
					mean[i], vari[i])
			}
		}
	})
}

// The closed form of normal–normal estimation, worked by hand: prior N(0.10,
// 0.03²), two observations of mean 0.16 and scatter 0.03 weigh 2 to 1, so the
// mean is (0.10 + 2·0.16)/3 = 0.14 and the variance 0.03²/3.
func TestNormalNormalByHand(t *testing.T) {
	b := belief{mean: pair{0.10}, vari: pair{9e-4}}
	b.observe(observation{pair{1, 0}, 0.15, 9e-4})
	b.observe(observation{pair{1, 0}, 0.17, 9e-4})
	close(t, "mean", b.mean[0], 0.14, 1e-12)
	close(t, "variance", b.vari[0], 3e-4, 1e-12)
}

func TestAnObservationWithoutAnyDoubtOfWhatIsKnownChangesNothing(t *testing.T) {
	b := belief{mean: pair{0.1, 0.2}}
	b.observe(observation{pair{1, 0}, 0.9, 0})
	if b.mean != (pair{0.1, 0.2}) {
		t.Errorf("mean %v", b.mean)
	}
}
