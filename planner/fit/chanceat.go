package fit

import (
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Chance is the probability that so many threaded ends of a finished length
// fit, on the middle estimates and their uncertainties, whether or not they fit
// on the middle estimates. Stripes and lots are those of the greatest length
// that does. It fails as Solve does.
func Chance(r Request, threaded int, lf measure.Length) (float64, error) {
	p, ok, err := ProblemAt(r, threaded, lf)
	if err != nil || !ok {
		return 0, err
	}
	a, err := chance.Fits(p)
	return a.Probability, err
}

// ProblemAt states a size as a question to package chance; false where no
// length at all fits with so many ends.
func ProblemAt(r Request, threaded int, lf measure.Length) (chance.Problem, bool, error) {
	if err := r.check(); err != nil {
		return chance.Problem{}, false, err
	}
	r.Want = Want{}
	r.Level = Middle
	s := newSolver(&r)
	top, _, ok := s.greatestLength(threaded)
	if !ok || top == 0 {
		return chance.Problem{}, false, nil
	}
	fixed, _ := s.layout(threaded)
	t := s.try(threaded, min(top, int64(lf)), fixed)
	return s.problem(threaded, int64(lf), &t), true, nil
}
