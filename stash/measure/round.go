package measure

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

// roundRat rounds to the nearest whole number, half to even. It is false when
// the result does not fit 64 bits.
func roundRat(r *big.Rat) (int64, bool) {
	quo, rem := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	twice := new(big.Int).Lsh(new(big.Int).Abs(rem), 1)
	switch order := twice.Cmp(r.Denom()); {
	case order > 0, order == 0 && quo.Bit(0) == 1:
		quo.Add(quo, big.NewInt(int64(r.Sign())))
	}
	return quo.Int64(), quo.IsInt64()
}

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

// decimal writes n/10^places exactly, without trailing zeros.
func decimal(n int64, places int) string {
	s := fixed(n, places)
	if places == 0 {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// fixed writes n/10^places with exactly that many places.
func fixed(n int64, places int) string {
	digits := strconv.FormatUint(magnitude(n), 10)
	if places > 0 {
		if short := places + 1 - len(digits); short > 0 {
			digits = strings.Repeat("0", short) + digits
		}
		digits = digits[:len(digits)-places] + "." + digits[len(digits)-places:]
	}
	if n < 0 {
		return "-" + digits
	}
	return digits
}

// scaled writes n·factor with the given places, rounded once, half to even.
func scaled(n int64, factor *big.Rat, places int) string {
	r := new(big.Rat).Mul(new(big.Rat).SetInt64(n), factor)
	r.Mul(r, new(big.Rat).SetInt64(pow10(places)))
	rounded, _ := roundRat(r) // fits: every factor used with its places makes the number smaller
	return fixed(rounded, places)
}

func pow10(places int) int64 {
	p := int64(1)
	for range places {
		p *= 10
	}
	return p
}
