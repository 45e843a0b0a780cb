package fit

import (
	"math"

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
// probability of the recommended size, and works out for the best one the range of
// 95 % lengths at the recommended end count. The package of a measurement is an
// index into r.Packages. It returns nil where there is no recommended size or no
// measurement that would move anything.
func Advise(r Request, ms []chance.Measurement) (*Advice, error) {
	r.Level, r.Sure, r.PutUps = Middle, false, nil
	res, err := Solve(r)
	if err != nil || res.Recommended == nil || len(ms) == 0 {
		return nil, err
	}
	rec := res.Recommended
	s := newSolver(&r)
	fixed, _ := s.layout(rec.Point.Threaded)
	t := s.try(rec.Point.Threaded, int64(rec.Length), fixed)
	problem := s.problem(rec.Point.Threaded, int64(rec.Length), &t)
	ranked, err := chance.WorthOf(problem, ms)
	if err != nil || ranked[0].Move < leastMove {
		return nil, err
	}
	a := &Advice{Worth: ranked[0], Now: rec.Point.Length95}
	if a.Low, err = r.sureAfter(problem, a.Worth.Measurement, -chance.NineInTen, rec.Point.Threaded); err != nil {
		return nil, err
	}
	a.High, err = r.sureAfter(problem, a.Worth.Measurement, chance.NineInTen, rec.Point.Threaded)
	if a.Low > a.High {
		a.Low, a.High = a.High, a.Low
	}
	return a, err
}

// leastMove is the move of the probability below which a measurement is not worth a word.
const leastMove = 0.001

// sureAfter returns the 95 % length once measurement m has come out at z.
func (r Request) sureAfter(p chance.Problem, m chance.Measurement, z float64, threaded int) (measure.Length, error) {
	after, err := chance.After(p, m, z)
	if err != nil {
		return 0, err
	}
	packages := append([]Package(nil), r.Packages...)
	for i, k := range after.Packages {
		packages[i].Length = measure.Length(math.RoundToEven(k.Length))
		packages[i].Own, packages[i].Shared = k.Own, k.Shared
	}
	r.Packages = packages
	return newSolver(&r).sureLength(threaded)
}
