package chance

import (
	"math"
	"sort"
)

// slack is added to a length before it is compared with a threshold, so that a
// package of exactly k ends gives k in spite of floating point (mm).
const slack = 1e-6

// reach is how many standard deviations count as possible: beyond it lie 1e-15.
const reach = 8

// thresholds returns the lengths at which the package gives its first, second,
// third … whole unit of length unit (mm), up to limit mm and at most most units.
func thresholds(k *Package, unit, limit float64, most int) []float64 {
	var t []float64
	all := most + k.Knots
	switch {
	case len(k.Shares) > 0:
		t = shareThresholds(k.Shares, unit, limit, all)
	case k.Longest > 0:
		t = thrumThresholds(k.Longest, unit, limit, all)
	default:
		for n := 1; n <= all && float64(n)*unit <= limit; n++ {
			t = append(t, float64(n)*unit)
		}
	}
	if k.Knots >= len(t) {
		return nil
	}
	t = t[k.Knots:]
	return t[:min(most, len(t))]
}

// shareThresholds handles a package that lies in several lengths: each share s
// of R gives its n-th unit at R = n·unit/s.
func shareThresholds(shares []float64, unit, limit float64, most int) []float64 {
	var t []float64
	for _, s := range shares {
		for n := 1; s > 0 && n <= most && float64(n)*unit/s <= limit; n++ {
			t = append(t, float64(n)*unit/s)
		}
	}
	sort.Float64s(t)
	return t
}

// thrumThresholds handles strands of at most longest mm: every full strand
// gives ⌊longest/unit⌋ units and the last, shorter one what it can.
func thrumThresholds(longest, unit, limit float64, most int) []float64 {
	per := int(math.Floor((longest + slack) / unit))
	if per == 0 {
		return nil
	}
	var t []float64
	for n := 0; n < most; n++ {
		at := float64(n/per)*longest + float64(n%per+1)*unit
		if at > limit {
			break
		}
		t = append(t, at)
	}
	return t
}
