package chance

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Nodes and weights of the Gauss–Kronrod rule of 7 and 15 points on [−1, 1],
// from QUADPACK's dqk15 (Piessens and others, 1983); from memory, and held
// against the exact integrals of polynomials in the tests.
var (
	kronrodNode = [8]float64{
		0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
		0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
		0.586087235467691130294144691617230, 0.405845151377397166906606412076961,
		0.207784955007898467600689403773245, 0,
	}
	kronrodWeight = [8]float64{
		0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
		0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
		0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
		0.204432940075298892414161999234649, 0.209482141084727828012999174891714,
	}
	gaussWeight = [4]float64{
		0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
		0.381830050505118944950369775488975, 0.417959183673469387755102040816327,
	}
)

// panels are the first pieces of the integral over a standard normal error;
// outside lies less than 1e-11.
var panels = []float64{-6.8, -2.4, -0.8, 0.8, 2.4, 6.8}

// deepest is how often a panel may be halved; at that depth it is narrower than 1e-5.
const deepest = 18

// nodes calls visit for the fifteen nodes of the panel a…b with the Kronrod and
// the Gauss weight of each, both times the normal density.
func nodes(a, b float64, visit func(z, kronrod, gauss float64)) {
	mid, half := (a+b)/2, (b-a)/2
	for i, x := range kronrodNode {
		g := 0.0
		if i%2 == 1 {
			g = gaussWeight[i/2]
		}
		for _, sign := range []float64{-1, 1} {
			if x == 0 && sign > 0 {
				continue
			}
			z := mid + sign*half*x
			w := half * density(z)
			visit(z, w*kronrodWeight[i], w*g)
		}
	}
}

// hermite holds the two Gauss–Hermite rules that are tried first.
var hermite = [2]rule{newRule(9), newRule(15)}

// rule is a quadrature rule for the expectation over a standard normal error.
type rule struct{ z, w []float64 }

// newRule returns the Gauss–Hermite rule of n nodes.
func newRule(n int) rule {
	r := rule{make([]float64, n), make([]float64, n)}
	quad.Hermite{}.FixedLocations(r.z, r.w, math.Inf(-1), math.Inf(1))
	for i := range r.z {
		r.z[i] *= math.Sqrt2
		r.w[i] /= math.Sqrt(math.Pi)
	}
	return r
}

// of applies the rule to f.
func (r rule) of(f func(z float64) float64) float64 {
	sum := 0.0
	for i, z := range r.z {
		sum += r.w[i] * f(z)
	}
	return sum
}

// expect returns E[f(Z)] for a standard normal Z. Where two Gauss–Hermite rules
// agree within tol, f is smooth and they are enough. Otherwise panels in which the
// Gauss and the Kronrod rule differ by more than tol are halved, so that the
// nodes gather where f has a step.
func expect(f func(z float64) float64, tol float64) float64 {
	coarse, fine := hermite[0].of(f), hermite[1].of(f)
	if math.Abs(coarse-fine) < 5*tol { // the finer rule is far closer than they are to each other
		return min(1, max(0, fine))
	}
	sum := 0.0
	for i := 1; i < len(panels); i++ {
		sum += panel(f, panels[i-1], panels[i], tol, deepest)
	}
	return min(1, max(0, sum))
}

// panel integrates f times the density over a…b.
func panel(f func(z float64) float64, a, b, tol float64, depth int) float64 {
	k, g := 0.0, 0.0
	nodes(a, b, func(z, wk, wg float64) {
		v := f(z)
		k += wk * v
		g += wg * v
	})
	if depth == 0 || k-g < tol && g-k < tol {
		return k
	}
	mid := (a + b) / 2
	return panel(f, a, mid, tol, depth-1) + panel(f, mid, b, tol, depth-1)
}

// expectDist is expect for a whole distribution.
func expectDist(f func(z float64) dist, tol float64) dist {
	var sum dist
	for i := 1; i < len(panels); i++ {
		sum = sum.plus(1, panelDist(f, panels[i-1], panels[i], tol, deepest))
	}
	return sum.trimmed()
}

// panelDist integrates a distribution over a…b.
func panelDist(f func(z float64) dist, a, b, tol float64, depth int) dist {
	var k, g dist
	nodes(a, b, func(z, wk, wg float64) {
		v := f(z)
		k = k.plus(wk, v)
		g = g.plus(wg, v)
	})
	if depth == 0 || k.distance(g) < tol {
		return k
	}
	mid := (a + b) / 2
	return panelDist(f, a, mid, tol, depth-1).plus(1, panelDist(f, mid, b, tol, depth-1))
}
