package fit

import (
	"errors"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Advice is the measurement that would help most, and the sizes that it may settle on.
type Advice struct {
	// Worth says how far the probability of the recommended size would move.
	Worth chance.Worth
	// Now is the 95 % length before the measurement.
	Now measure.Length
	// Low and High bound the 95 % length after it, nine outcomes in ten lying between.
	Low, High measure.Length
}

// Advise ranks the measurements by how far each is expected to move the
// probability of a recommended size, and works out for the best one the range of
// 95 % lengths at its end count. The package of a measurement is an
// index into r.Packages. It returns nil where no measurement would move anything.
func Advise(r Request, rec *Recommended, ms []chance.Measurement) (*Advice, error) {
	if err := r.check(); err != nil || len(ms) == 0 {
		return nil, err
	}
	r.Level = Middle
	s := newSolver(&r)
	top, _, _ := s.greatestLength(rec.Point.Threaded)
	t, err := s.laidOut(rec.Point.Threaded, top, int64(rec.Length))
	if err != nil {
		return nil, err
	}
	q := s.question(rec.Point.Threaded, &t)
	ranked, err := chance.WorthOf(q(int64(rec.Length)), ms)
	if err != nil || len(ranked) == 0 || ranked[0].Move < leastMove {
		return nil, err
	}
	a := &Advice{Worth: ranked[0], Now: rec.Point.Length95}
	if a.Low, err = sureAfter(q, a.Worth.Measurement, -chance.NineInTen, top); err != nil {
		return nil, err
	}
	a.High, err = sureAfter(q, a.Worth.Measurement, chance.NineInTen, top)
	if a.Low > a.High {
		a.Low, a.High = a.High, a.Low
	}
	return a, err
}

// leastMove is the move of the probability below which a measurement is not worth a word.
const leastMove = 0.001

// sureAfter returns the 95 % length once measurement m has come out at z; it may be
// longer than top, which fits on the present estimates.
func sureAfter(q chance.Question, m chance.Measurement, z float64, top int64) (measure.Length,
	error) {
	var failed error
	after := func(lf int64) chance.Problem {
		p, err := chance.After(q(lf), m, z)
		if err != nil {
			failed = err
		}
		return p
	}
	lf, err := chance.GreatestQuick(after, 2*top, top)
	return measure.Length(lf), errors.Join(failed, err)
}
