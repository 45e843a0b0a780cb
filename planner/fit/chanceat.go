package fit

import (
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Odds are the chances of a size.
type Odds struct {
	chance.Answer
	// First is what would run out first.
	First Binding

	request *Request
	problem chance.Problem
	demands []Binding
}

// Chance is the probability that so many threaded ends of a finished length
// fit, on the middle estimates and all uncertainties, whether or not they fit
// on the middle estimates. Stripes and lots are those of the greatest length
// that does, or, where none does, of the length itself if there were plenty. It fails as
// Solve does.
func Chance(r Request, threaded int, lf measure.Length) (Odds, error) {
	s, t, err := r.at(threaded, lf)
	if err != nil || t == nil {
		return Odds{Answer: chance.Answer{Verdict: chance.Short}}, err
	}
	p := s.problem(threaded, int64(lf), t)
	a, err := chance.Fits(p)
	demands := s.demands(t)
	return Odds{a, demands[a.Weakest], s.r, p, demands}, err
}

// at tries a size on the middle estimates, with plenty of everything where no length at
// all fits; no trial where none would then.
func (r Request) at(threaded int, lf measure.Length) (*solver, *trial, error) {
	if err := r.check(); err != nil {
		return nil, nil, err
	}
	r.Want = Want{}
	r.Level = Middle
	s := newSolver(&r)
	top, _, ok := s.greatestLength(threaded)
	if !ok || top == 0 {
		return r.atPlenty(s, threaded, int64(lf))
	}
	fixed, _ := s.layout(threaded)
	t := s.try(threaded, min(top, int64(lf)), fixed)
	return s, &t, s.layOut(&t, threaded, int64(lf), false)
}

// atPlenty lays a size out as it would be with ten times its yarn more of each package.
func (r Request) atPlenty(s *solver, threaded int, lf int64) (*solver, *trial, error) {
	rich := r
	rich.Packages = slices.Clone(r.Packages)
	need := measure.Length(10) * (r.Geometry.Weft(threaded, measure.Length(lf)) +
		measure.Length(threaded)*r.Geometry.WarpEnd(measure.Length(lf)))
	for i := range rich.Packages {
		rich.Packages[i].Length += need
	}
	with := newSolver(&rich)
	fixed, laid := with.layout(threaded)
	if !laid {
		return nil, nil, nil
	}
	t := with.try(threaded, lf, fixed)
	if !t.ok || len(with.sources) != len(s.sources) || len(with.wefts) != len(s.wefts) {
		return nil, nil, nil
	}
	return s, &t, s.layOut(&t, threaded, lf, false)
}
