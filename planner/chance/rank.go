package chance

import (
	"fmt"
	"math"
	"sort"
)

// reducedRank is the number of errors to which reduced tries to bring a set.
const reducedRank = 2

// reduced replaces three or more shared errors by two that give the same
// covariances, where two do: the counts of two yarns and the humidity that both
// feel move only two lengths. It is a pivoted Cholesky factorisation of the
// covariance that the errors give the packages, stopped after two columns.
func reduced(fs []*factor) []*factor {
	if len(fs) <= reducedRank {
		return fs
	}
	at := touched(fs)
	rest := make(map[int]float64, len(at)) // variance not yet explained
	for _, i := range at {
		rest[i] = covariance(fs, i, i)
	}
	var out []*factor
	for n := range reducedRank {
		pivot := at[0]
		for _, i := range at {
			if rest[i] > rest[pivot] {
				pivot = i
			}
		}
		if rest[pivot] <= 1e-9*covariance(fs, pivot, pivot) {
			break
		}
		f := &factor{name: fmt.Sprintf("shared %d", n+1), load: map[int]float64{}}
		for _, i := range at {
			c := covariance(fs, i, pivot)
			for _, g := range out {
				c -= g.load[i] * g.load[pivot]
			}
			if v := c / math.Sqrt(rest[pivot]); math.Abs(v) > 1e-6*math.Sqrt(covariance(fs, i, i)) {
				f.load[i] = v
				f.at = append(f.at, i)
			}
		}
		for _, i := range f.at {
			rest[i] -= f.load[i] * f.load[i]
		}
		out = append(out, f)
	}
	for _, i := range at {
		if rest[i] > 1e-9*covariance(fs, i, i) {
			return fs
		}
	}
	return out
}

// touched lists the packages that the errors touch.
func touched(fs []*factor) []int {
	seen := map[int]bool{}
	var at []int
	for _, f := range fs {
		for _, i := range f.at {
			if !seen[i] {
				seen[i] = true
				at = append(at, i)
			}
		}
	}
	sort.Ints(at)
	return at
}

// covariance is what the errors give packages i and j in common, in mm².
func covariance(fs []*factor, i, j int) float64 {
	sum := 0.0
	for _, f := range fs {
		sum += f.load[i] * f.load[j]
	}
	return sum
}
