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
		if covered(p, lengths, z, r) {
			hits++
		}
	}
	return float64(hits) / float64(draws)
}

func factorNames(p Problem) []string {
	seen := map[string]bool{}
	var names []string
	note := func(shared []Loading) {
		for _, l := range shared {
			if !seen[l.Factor] {
				seen[l.Factor] = true
				names = append(names, l.Factor)
			}
		}
	}
	for _, k := range p.Packages {
		note(k.Shared)
	}
	note(p.WarpEnd.Shared)
	for _, w := range p.Weft {
		note(w.Need.Shared)
	}
	sort.Strings(names)
	return names
}

// drawn is what a need comes to.
func drawn(n Need, z map[string]float64) float64 {
	v := n.Length
	for _, l := range n.Shared {
		v *= math.Exp((l.Relative + l.Absolute/n.Length) * z[l.Factor])
	}
	return v
}

// covered settles one draw.
func covered(p Problem, lengths []float64, z map[string]float64, r *rand.Rand) bool {
	weft := map[int]int{}
	for w, pool := range p.Weft {
		for _, i := range pool.Packages {
			weft[i] = w
		}
	}
	cut := make([]float64, len(p.Weft))
	unit := drawn(p.WarpEnd, z) * float64(max(1, p.Unit))
	for _, pool := range p.Warp {
		left := (pool.Ends + max(1, p.Unit) - 1) / max(1, p.Unit)
		for pass := range 2 {
			for _, i := range pool.Packages {
				w, mixed := weft[i]
				if mixed != (pass == 1) {
					continue
				}
				n := min(left, unitsOf(&p.Packages[i], lengths[i], unit, r))
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
		if sum < drawn(pool.Need, z) {
			return false
		}
	}
	return true
}

// unitsOf counts whole units by division, knots being cut at places drawn at random.
func unitsOf(k *Package, length, unit float64, r *rand.Rand) int {
	n := 0
	switch {
	case len(k.Shares) > 0:
		for _, s := range k.Shares {
			n += int(math.Floor(length * s / unit))
		}
		n -= k.Knots
	case k.Longest > 0:
		full := math.Floor(length / k.Longest)
		n = int(full)*int(math.Floor(k.Longest/unit)) +
			int(math.Floor((length-full*k.Longest)/unit)) - k.Knots
	default:
		cuts := []float64{0, length}
		for range k.Knots {
			cuts = append(cuts, r.Float64()*length)
		}
		sort.Float64s(cuts)
		for i := 1; i < len(cuts); i++ {
			n += int(math.Floor((cuts[i] - cuts[i-1]) / unit))
		}
	}
	return max(0, n)
}
