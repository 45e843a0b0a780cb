package levels

import "math"

// Spread is the standard deviation of a sum of quantities of the next piece, and the part
// of it that stays however many pieces are measured.
func (f Forecast) Spread(of Vector) (all, scatter float64) {
	_, cov := f.Moments()
	return math.Sqrt(of.Dot(cov.Times(of))), math.Sqrt(of.Dot(f.scatter().Times(of)))
}

func (f Forecast) scatter() (out Matrix) {
	for _, p := range f {
		out = out.plus(p.scatter, p.Weight)
	}
	return out
}

// After is the standard deviation of a sum of quantities once a reading is taken: of the
// same piece, or of a piece before it of the same cloth.
func (f Forecast) After(of Vector, r Reading, same bool) float64 {
	_, cov := f.Moments()
	shared := cov
	if !same {
		shared = cov.plus(f.scatter(), -1)
	}
	tells := of.Dot(shared.Times(r.Take))
	noise := r.Take.Dot(cov.Times(r.Take)) + r.shared(r) + exact*exact
	return math.Sqrt(math.Max(0, of.Dot(cov.Times(of))-tells*tells/noise))
}
