package measure

import "math"

// mmPerKm is how many millimetres a kilometre has: a mass in mg over a count
// in mg/km is a length in km.
const mmPerKm = 1_000_000

// LengthOf gives the length of yarn that has mass m at count c,
// 1000·net/tex metres for net in grams, rounded once, half to even. It is
// false, and the length zero, when the count is unknown (zero) or negative,
// or when the length does not fit: an unknown length is not a length of zero.
// A negative mass (an overdrawn package) gives a negative length.
func LengthOf(m Mass, c Count) (Length, bool) {
	mm, ok := mulDiv(int64(m), mmPerKm, int64(c))
	return Length(mm), ok
}

// MassOf gives the mass of a length l of yarn at count c, tex·metres/1000
// grams, rounded once, half to even. It is false, and the mass zero, when the
// count is unknown (zero) or negative, or when the mass does not fit.
func MassOf(l Length, c Count) (Mass, bool) {
	if c <= 0 {
		return 0, false
	}
	mg, ok := mulDiv(int64(l), int64(c), mmPerKm)
	return Mass(mg), ok
}

// Float gives the ratio as a number, 12 % as 0.12.
func (r Ratio) Float() float64 { return float64(r) / float64(Whole) }

// RatioOf rounds a number to a ratio, 0.12 to 12 %, half to even. A number
// that is not one (NaN) gives zero, and one beyond the range its end.
func RatioOf(f float64) Ratio {
	ppm := math.RoundToEven(f * float64(Whole))
	switch {
	case math.IsNaN(ppm):
		return 0
	case ppm >= math.MaxInt64:
		return math.MaxInt64
	case ppm <= math.MinInt64:
		return math.MinInt64
	}
	return Ratio(ppm)
}

// PerMM gives the sett in threads for each millimetre.
func (s Sett) PerMM() float64 { return float64(s) / (1000 * 1000) }
