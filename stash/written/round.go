package written

import (
	"math/big"
	"strconv"
	"strings"
)

// Round rounds a fraction to the nearest whole number, half to even. It is false when
// the result does not fit 64 bits.
func Round(r *big.Rat) (int64, bool) {
	quo, rem := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	twice := new(big.Int).Lsh(new(big.Int).Abs(rem), 1)
	switch order := twice.Cmp(r.Denom()); {
	case order > 0, order == 0 && quo.Bit(0) == 1:
		quo.Add(quo, big.NewInt(int64(r.Sign())))
	}
	return quo.Int64(), quo.IsInt64()
}

// Decimal writes n/10^places exactly, without trailing zeros.
func Decimal(n int64, places int) string {
	s := Fixed(n, places)
	if places == 0 {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// Fixed writes n/10^places with exactly that many places.
func Fixed(n int64, places int) string {
	digits := strings.TrimPrefix(strconv.FormatInt(n, 10), "-")
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
