package planner

import (
	"math"
	"math/bits"

	"endsmeet/stash/measure"
)

const whole = int64(measure.Whole)

// mmPerKm is the length to which setts refer: threads per 1000 m.
const mmPerKm = 1_000_000

// frac is an exact non-negative fraction. Validation keeps the factors of
// every numerator and denominator small enough for 63 bits.
type frac struct{ num, den int64 }

// newFrac is num/den in lowest terms; den must be positive.
func newFrac(num, den int64) frac {
	a, b := num, den
	for b != 0 {
		a, b = b, a%b
	}
	return frac{num / a, den / a}
}

// ceil is the least integer that is not below k times the fraction.
func (f frac) ceil(k int64) int64 {
	q, r := f.mul(k)
	if r > 0 && q < math.MaxInt64 {
		q++
	}
	return q
}

// floor is the greatest integer that is not above k times the fraction.
func (f frac) floor(k int64) int64 {
	q, _ := f.mul(k)
	return q
}

// inverse of the fraction; its numerator must be positive.
func (f frac) inverse() frac { return frac{f.den, f.num} }

// float is the nearest double.
func (f frac) float() float64 { return float64(f.num) / float64(f.den) }

// mul is quotient and remainder of k times the fraction, saturating at the
// greatest int64.
func (f frac) mul(k int64) (int64, uint64) {
	hi, lo := bits.Mul64(uint64(f.num), uint64(k))
	if hi >= uint64(f.den) {
		return math.MaxInt64, 0
	}
	q, r := bits.Div64(hi, lo, uint64(f.den))
	if q > math.MaxInt64 {
		return math.MaxInt64, 0
	}
	return int64(q), r
}

// beaten is the picks that are really beaten, to the tape.
func (s Spec) beaten() measure.Sett {
	return s.Cloth.Picks + measure.Sett(math.Round(float64(s.Cloth.Picks)*s.Losses.Beating.Float()))
}

// threadsLow is twice the least sett that rounds to s. A sett given per inch is
// rounded to whole threads per 1000 m; counting from the low side keeps 30
// inches at 70 ends from asking for 2101.
func threadsLow(s measure.Sett) int64 { return max(0, 2*int64(s)-1) }

// Widening is the width in the reed for each finished width.
func (l Losses) Widening() float64 { return Spec{Losses: l}.reeding().float() }

// Lengthening is the tape for each finished length.
func (l Losses) Lengthening() float64 { return Spec{Losses: l}.taping().float() }

// Damp is the width of the web for each finished width.
func (l Losses) Damp() float64 { return float64(whole) / float64(whole-int64(l.WetWidth)) }

// relaxing is Lr / (Lf + hem).
func (s Spec) relaxing() frac { return newFrac(whole, whole-int64(s.Losses.WetLength)) }

// taking is n (1 + cw) / (1 - sw): warp yarn for each finished length.
func (s Spec) taking() frac {
	return newFrac(int64(s.Pieces)*(whole+int64(s.Losses.WarpTakeUp)),
		whole-int64(s.Losses.WetLength))
}

// taping is Lt / (Lf + hem).
func (s Spec) taping() frac {
	return newFrac(whole+int64(s.Losses.Stretch), whole-int64(s.Losses.WetLength))
}

// picking is picks for each finished length of one piece.
func (s Spec) picking() frac {
	return newFrac((whole+int64(s.Losses.Stretch))*threadsLow(s.beaten()),
		2*(whole-int64(s.Losses.WetLength))*mmPerKm)
}

// reeding is Wr / Wf.
func (s Spec) reeding() frac {
	return newFrac(whole*whole, (whole-int64(s.Losses.WetWidth))*(whole-int64(s.Losses.DrawIn)))
}

// ending is threaded ends for each finished width.
func (s Spec) ending() frac {
	d := (whole - int64(s.Losses.WetWidth)) * (whole - int64(s.Losses.DrawIn))
	return newFrac(threadsLow(s.Cloth.Sett)*whole, 2*d)
}

// width of the threaded ends in the reed.
func (s Spec) reed(threaded int) frac {
	return newFrac(int64(threaded)*mmPerKm, int64(s.Cloth.Sett))
}

// width of the web after draw-in.
func (s Spec) web(threaded int) frac {
	return newFrac(int64(threaded)*(whole-int64(s.Losses.DrawIn)), int64(s.Cloth.Sett))
}

// width after wet finishing.
func (s Spec) finished(threaded int) frac {
	w := s.web(threaded)
	return newFrac(w.num*(whole-int64(s.Losses.WetWidth)), w.den*whole)
}

// times is the product of two fractions, the second small.
func (f frac) times(g frac) frac { return newFrac(f.num*g.num, f.den*g.den) }
