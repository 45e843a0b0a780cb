package measure

import (
	"math"
	"math/big"
	"math/bits"

	"endsmeet/stash/written"
)

// mulDiv gives a·b/c rounded half to even, through a 128-bit product. It is
// false when c is not positive or the result does not fit 64 bits.
func mulDiv(a, b, c int64) (int64, bool) {
	if c <= 0 {
		return 0, false
	}
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi >= uint64(c) {
		return 0, false
	}
	quo, rem := bits.Div64(hi, lo, uint64(c))
	if half := uint64(c) - rem; rem > half || rem == half && quo&1 == 1 {
		quo++
	}
	if quo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(quo), true
	}
	return int64(quo), true
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// scaled writes n·factor with the given places, rounded once, half to even.
func scaled(n int64, factor *big.Rat, places int) string {
	r := new(big.Rat).Mul(new(big.Rat).SetInt64(n), factor)
	r.Mul(r, new(big.Rat).SetInt64(pow10(places)))
	rounded, _ := written.Round(r) // fits: every factor used with its places makes the number smaller
	return written.Fixed(rounded, places)
}

func pow10(places int) int64 {
	p := int64(1)
	for range places {
		p *= 10
	}
	return p
}
