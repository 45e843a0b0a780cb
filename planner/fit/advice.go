package fit

import (
	"errors"
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Advice is the measurement that would help most, and the sizes that it may settle on.
type Advice struct {
	// Worth says how far the probability of the recommended size would move.
	Worth chance.Worth
	// First is what runs out first at that size, of which the measurement is.
	First Binding
	// Now is the 95 % length before the measurement.
	Now measure.Length
	// Low and High bound the 95 % length after it, nine outcomes in ten lying between.
	Low, High measure.Length
}

// Worth is the measurement that would move the probability most, of those of what runs out
// first, or of the weakest where nothing is called so: to know better what there is plenty of
// makes nothing surer. The package of a measurement is an index into the packages of the
// request. It is nil where none would move anything.
func (o Odds) Worth(first string, ms []chance.Measurement) (*chance.Worth, error) {
	if o.request == nil {
		return nil, nil
	}
	var pool []int
	for d := range min(len(o.demands), len(o.problem.Warp)+len(o.problem.Weft)) {
		if o.demands[d].String() == first {
			pool = append(pool, o.problem.Pool(d)...)
		}
	}
	if len(pool) == 0 {
		pool = o.problem.Pool(o.Weakest)
	}
	return worthOf(o.problem, pool, ms)
}

// worthOf is the measurement of some packages that would move a probability most; nil for
// none.
func worthOf(p chance.Problem, pool []int, ms []chance.Measurement) (*chance.Worth, error) {
	ms = slices.DeleteFunc(slices.Clone(ms), func(m chance.Measurement) bool {
		return !slices.ContainsFunc(pool, func(i int) bool {
			if m.Factor == "" {
				return i == m.Package
			}
			return slices.ContainsFunc(p.Packages[i].Shared,
				func(l chance.Loading) bool { return l.Factor == m.Factor })
		})
	})
	if len(ms) == 0 {
		return nil, nil
	}
	ranked, err := chance.WorthOf(p, ms)
	if err != nil || len(ranked) == 0 || ranked[0].Move < leastMove {
		return nil, err
	}
	return &ranked[0], nil
}

// Advise finds the measurement of what runs out first that is expected to move the
// probability of a recommended size most, and works out the range of
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
	p := q(int64(rec.Length))
	odds, err := chance.Fits(p)
	if err != nil {
		return nil, err
	}
	worth, err := worthOf(p, p.Pool(odds.Weakest), ms)
	if err != nil || worth == nil {
		return nil, err
	}
	a := &Advice{Worth: *worth, First: s.demands(&t)[odds.Weakest], Now: rec.Point.Length95}
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
