package chance

import (
	"math"
	"sync"
)

// cutUnits returns the greatest n with P(n or more whole units | a units of length cut
// at k places, all places equally likely) ≥ v: a quantile of the count, which rises
// with a and falls with v.
func cutUnits(a float64, k int, v float64) int {
	sum := 0.0
	for n := int(a); n > 0; n-- {
		sum += cutChance(n, a, k)
		if sum >= v || float64(n) < a-float64(k)-1 {
			return n
		}
	}
	return 0
}

// cutChance is the chance of n whole units from a units cut at k places:
//
//	C(n+k, k) k! h(a−n) / a^k
//
// with h the density of the sum of k+1 uniform fractions: the whole parts of the k+1
// pieces are chosen in C(n+k, k) ways, and their fractions add up to a−n.
func cutChance(n int, a float64, k int) float64 {
	h := fractions(k+1, a-float64(n))
	for j := 1; j <= k && h > 0; j++ { // (n+k)!/n! / a^k
		h *= float64(n+j) / a
	}
	return h
}

// fractions is irwinHall, from a table where the cuts are few.
func fractions(n int, x float64) float64 {
	if n > mostHalls || x <= 0 || x >= float64(n) {
		return irwinHall(n, x)
	}
	x *= hallSteps
	i := int(x)
	t := halls()[n]
	return t[i] + (x-float64(i))*(t[i+1]-t[i])
}

// hallSteps is the steps of the table in a unit; between them the density is as good
// as straight.
const hallSteps = 128

// mostHalls is the greatest number of uniforms that there is a table for.
const mostHalls = 7

// halls are the densities of the sums of 1 … 7 uniforms.
var halls = sync.OnceValue(func() *[mostHalls + 1][]float64 {
	t := &[mostHalls + 1][]float64{}
	for n := 2; n < len(t); n++ {
		for i := range hallSteps*n + 2 {
			t[n] = append(t[n], irwinHall(n, float64(i)/hallSteps))
		}
	}
	return t
})

// exactUniforms is the greatest number of uniforms whose sum is reckoned exactly;
// beyond it the sum is as good as normal.
const exactUniforms = 12

// irwinHall is the density at x of the sum of n uniforms (Irwin 1927, Hall 1927).
func irwinHall(n int, x float64) float64 {
	if x <= 0 || x >= float64(n) {
		return 0
	}
	if n > exactUniforms {
		variance, d := float64(n)/12, x-float64(n)/2
		return math.Exp(-d*d/2/variance) / math.Sqrt(2*math.Pi*variance)
	}
	if 2*x > float64(n) {
		x = float64(n) - x // the density is symmetrical; few terms lose few digits
	}
	sum, c := 0.0, 1.0
	for j := 0; float64(j) < x; j++ {
		term := c
		for e := 1; e < n; e++ {
			term *= (x - float64(j)) / float64(e)
		}
		sum += term
		c *= -float64(n-j) / float64(j+1)
	}
	return sum
}
