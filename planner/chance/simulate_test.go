package chance

import (
	"math"
	"math/rand/v2"
	"sort"
)

// simulate estimates the same probability by drawing the model in doc.go
// literally: floor at zero, whole ends by division, no shared code with the
// computation but the Problem type.
func simulate(p Problem, draws int, seed uint64) float64 {
	r := rand.New(rand.NewPCG(seed, 17))
	names := factorNames(p)
	hits := 0
	z := map[string]float64{}
	lengths := make([]float64, len(p.Packages))
	for range draws {
		for _, n := range names {
			z[n] = r.NormFloat64()
		}
		for i := range p.Packages {
			k := &p.Packages[i]
			v := k.Length + k.Own*r.NormFloat64()
			for _, l := range k.Shared {
				v += (l.Relative*k.Length + l.Absolute) * z[l.Factor]
			}
			lengths[i] = max(0, v)
		}
		if covered(p, lengths) {
			hits++
		}
	}
	return float64(hits) / float64(draws)
}

func factorNames(p Problem) []string {
	seen := map[string]bool{}
	var names []string
	for _, k := range p.Packages {
		for _, l := range k.Shared {
			if !seen[l.Factor] {
				seen[l.Factor] = true
				names = append(names, l.Factor)
			}
		}
	}
	sort.Strings(names)
	return names
}

// covered settles one draw.
func covered(p Problem, lengths []float64) bool {
	weft := map[int]int{}
	for w, pool := range p.Weft {
		for _, i := range pool.Packages {
			weft[i] = w
		}
	}
	cut := make([]float64, len(p.Weft))
	unit := p.WarpEnd * float64(max(1, p.Unit))
	for _, pool := range p.Warp {
		left := (pool.Ends + max(1, p.Unit) - 1) / max(1, p.Unit)
		for pass := range 2 {
			for _, i := range pool.Packages {
				w, mixed := weft[i]
				if mixed != (pass == 1) {
					continue
				}
				n := min(left, unitsOf(&p.Packages[i], lengths[i], unit))
				left -= n
				if mixed {
					cut[w] += float64(n) * unit
				}
			}
		}
		if left > 0 {
			return false
		}
	}
	for w, pool := range p.Weft {
		sum := -cut[w]
		for _, i := range pool.Packages {
			sum += lengths[i]
		}
		if sum < pool.Need {
			return false
		}
	}
	return true
}

// unitsOf counts whole units by division.
func unitsOf(k *Package, length, unit float64) int {
	n := 0
	switch {
	case len(k.Shares) > 0:
		for _, s := range k.Shares {
			n += int(math.Floor(length * s / unit))
		}
	case k.Longest > 0:
		full := math.Floor(length / k.Longest)
		n = int(full)*int(math.Floor(k.Longest/unit)) + int(math.Floor((length-full*k.Longest)/unit))
	default:
		n = int(math.Floor(length / unit))
	}
	return max(0, n-k.Knots)
}
