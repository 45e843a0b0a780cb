package fit

import (
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Odds are the chances of a size.
type Odds struct {
	chance.Answer
	// First is what would run out first.
	First Binding

	solver  *solver
	problem chance.Problem
}

// Problem is the size as a question to package chance; false where no length at all fits
// with so many ends.
func (o Odds) Problem() (chance.Problem, bool) { return o.problem, o.solver != nil }

// Chance is the probability that so many threaded ends of a finished length
// fit, on the middle estimates and all uncertainties, whether or not they fit
// on the middle estimates. Stripes and lots are those of the greatest length
// that does. It fails as Solve does.
func Chance(r Request, threaded int, lf measure.Length) (Odds, error) {
	s, t, err := r.at(threaded, lf)
	if err != nil || t == nil {
		return Odds{Answer: chance.Answer{Verdict: chance.Short}}, err
	}
	p := s.problem(threaded, int64(lf), t)
	a, err := chance.Fits(p)
	return Odds{a, s.demands(t)[a.Weakest], s, p}, err
}

// at tries a size on the middle estimates; no trial where no length at all fits.
func (r Request) at(threaded int, lf measure.Length) (*solver, *trial, error) {
	if err := r.check(); err != nil {
		return nil, nil, err
	}
	r.Want = Want{}
	r.Level = Middle
	s := newSolver(&r)
	top, _, ok := s.greatestLength(threaded)
	if !ok || top == 0 {
		return nil, nil, nil
	}
	fixed, _ := s.layout(threaded)
	t := s.try(threaded, min(top, int64(lf)), fixed)
	return s, &t, nil
}
