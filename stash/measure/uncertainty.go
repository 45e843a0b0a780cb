package measure

import "math"

// ResolutionU gives the standard uncertainty, in milligrams, of one reading
// of a scale that shows steps of the given size: step/(2·√3), the rectangular
// distribution one step wide (JCGM 100:2008, F.2.2.1). A net mass from two
// readings has two of these, combined with Combine.
func ResolutionU(step Mass) float64 { return RectangularU(step) / 2 }

// RectangularU gives the standard uncertainty of a value of which only the half-width is
// known within which it lies: half/√3 (JCGM 100:2008, 4.3.7).
func RectangularU(half Mass) float64 { return math.Abs(float64(half)) / math.Sqrt(3) }

// Combine adds independent standard uncertainties in quadrature
// (JCGM 100:2008, 5.1.2). Errors that are shared are not independent: add
// those directly.
func Combine(u ...float64) float64 {
	var sum float64
	for _, v := range u {
		sum = math.Hypot(sum, v)
	}
	return sum
}

// Estimate is a quantity with its standard uncertainty, both in the
// quantity's own unit.
type Estimate struct {
	Middle float64
	U      float64 // one standard uncertainty
}

// Low gives the middle less k standard uncertainties.
func (e Estimate) Low(k float64) float64 { return e.Middle - k*e.U }

// High gives the middle plus k standard uncertainties.
func (e Estimate) High(k float64) float64 { return e.Middle + k*e.U }

// LengthEstimate gives the length, in millimetres, of a net mass at a count,
// with its standard uncertainty from that of the net mass (uNetMg, in mg) and
// the relative one of the count (uCountRel, 0.03 for 3 %), taken as
// independent:
//
//	u² = (10⁶·uNet/c)² + (L·uCount)²
//
// the law of propagation for L = 10⁶·m/c to first order (JCGM 100:2008,
// 5.1.2). It is false when the count is unknown.
func LengthEstimate(net Mass, c Count, uNetMg, uCountRel float64) (Estimate, bool) {
	if c <= 0 {
		return Estimate{}, false
	}
	mmPerMg := mmPerKm / float64(c)
	middle := float64(net) * mmPerMg
	return Estimate{Middle: middle, U: Combine(uNetMg*mmPerMg, middle*uCountRel)}, true
}

// LengthRange gives the length of a net mass at a count and the length one
// standard uncertainty below and above it: coverage factor k = 1, the ± that
// is shown to a person (about two chances in three). For another k take
// LengthEstimate and its Low and High. The low end is not below zero unless
// the net mass is: there is no negative yarn on a package. An unknown count
// gives three zeros, so ask LengthOf first whether the length is known.
func LengthRange(net Mass, c Count, uNetMg, uCountRel float64) (low, mid, high Length) {
	mid, ok := LengthOf(net, c)
	if !ok {
		return 0, 0, 0
	}
	e, _ := LengthEstimate(net, c, uNetMg, uCountRel)
	low, high = roundLength(e.Low(1)), roundLength(e.High(1))
	if net >= 0 {
		low = max(low, 0)
	}
	return min(low, mid), mid, max(high, mid)
}

func roundLength(mm float64) Length {
	switch mm = math.RoundToEven(mm); {
	case mm >= math.MaxInt64:
		return math.MaxInt64
	case mm <= math.MinInt64:
		return math.MinInt64
	case math.IsNaN(mm):
		return 0
	}
	return Length(mm)
}
