package chance

import "math"

// Question states a size as a problem. All sizes of one question have the same
// packages and pools; needs rise with the size.
type Question func(size int64) Problem

// Greatest returns the greatest size from 1 to top whose probability is at least
// SureFrom, and the answer for it; size 0 where there is none. The lines and the points
// are those of one size near it, so that the probability does not rise with the size:
// what is sure is a size that is not above this one.
func Greatest(q Question, top int64) (int64, Answer, error) {
	last := q(top)
	if err := last.check(); err != nil {
		return 0, Answer{}, err
	}
	rough := newSearch(top)
	e := quick
	rough.at = func(size int64) float64 {
		known, _ := withoutUnknown(q(size))
		out := newModel(&known).evaluate(e)
		e.way = out.way
		return out.p
	}
	rough.try(top)
	for k := 0; k < 4 && rough.lo < top && !rough.within(quick.close); k++ {
		rough.try(rough.next(k > 0))
	}
	f := freeze(q, min(top, max(1, rough.next(true))), steady)
	size := f.greatest(top, 1+top/256, 0)
	_, missing := withoutUnknown(last)
	return size, answer(f.at(max(1, size)), missing), nil
}

// GreatestQuick is Greatest to about 0.01 of the probability, for a tenth of the work;
// near is where to begin.
func GreatestQuick(q Question, top, near int64) (int64, error) {
	last := q(top)
	if err := last.check(); err != nil {
		return 0, err
	}
	return freeze(q, near, quick).greatest(top, 1+near/32, quick.close/2), nil
}

// greatest looks from the frozen size outwards in growing steps, and then between, to
// the last size whose probability is enough, or one that has so little too much of it.
func (f *frozen) greatest(top, step int64, over float64) int64 {
	s := newSearch(top)
	s.at, s.over = f.p, over
	s.around(f.size, step)
	for k := 1; !s.done(); k++ {
		s.try(s.next(k%3 != 0))
	}
	return s.lo
}

// newSearch is between nothing, which fits, and more than top.
func newSearch(top int64) *search {
	return &search{lo: 0, hi: top + 1, plo: deviate(1), phi: deviate(0)}
}

// search narrows lo, which fits surely, and hi, which does not, with their
// probabilities as normal deviates.
type search struct {
	lo, hi   int64
	plo, phi float64
	over     float64
	at       func(size int64) float64
}

// done says that nothing lies between the ends, or that lo has little too much probability.
func (s *search) done() bool {
	return s.hi-s.lo <= 1 || s.lo > 0 && below(s.plo)-SureFrom < s.over
}

// deviate is a probability as a normal deviate, which is nearly straight in the size.
func deviate(p float64) float64 { return quantile(min(1-1e-9, max(1e-9, p))) }

// try asks at a size.
func (s *search) try(size int64) {
	if p := s.at(size); p >= SureFrom {
		s.lo, s.plo = size, deviate(p)
	} else {
		s.hi, s.phi = size, deviate(p)
	}
}

// next is the size to try: on the straight line between the ends, or halfway.
func (s *search) next(straight bool) int64 {
	mid := s.lo + (s.hi-s.lo)/2
	if straight && s.plo > s.phi {
		share := (s.plo - deviate(SureFrom)) / (s.plo - s.phi)
		mid = s.lo + int64(math.Round(share*float64(s.hi-s.lo)))
	}
	return min(s.hi-1, max(s.lo+1, mid))
}

// within says that one of the ends is as near to the threshold as that.
func (s *search) within(err float64) bool {
	return min(math.Abs(below(s.plo)-SureFrom), math.Abs(below(s.phi)-SureFrom)) < err/2
}

// around looks for the ends in growing steps from a size.
func (s *search) around(size, step int64) {
	s.try(size)
	for s.lo == size && !s.done() {
		size = min(s.hi-1, size+step)
		s.try(size)
		step *= 4
	}
	for s.hi == size && !s.done() {
		size = max(s.lo+1, size-step)
		s.try(size)
		step *= 4
	}
}

// frozen evaluates sizes on the lines and points of one of them.
type frozen struct {
	q     Question
	size  int64
	of    *model
	terms []term
	seen  map[int64]estimate
}

// freeze works one size out with so much effort and keeps its lines and points.
func freeze(q Question, size int64, e effort) *frozen {
	known, _ := withoutUnknown(q(size))
	m := newModel(&known)
	out := m.evaluate(e)
	return &frozen{q, size, m, out.terms, map[int64]estimate{size: out}}
}

// p is the probability at a size.
func (f *frozen) p(size int64) float64 { return f.at(size).p }

// at is the estimate at a size.
func (f *frozen) at(size int64) estimate {
	if out, known := f.seen[size]; known {
		return out
	}
	known, _ := withoutUnknown(f.q(size))
	m := newModel(&known)
	if m.dims == f.of.dims { // else an error has lost its hold on everything at this size
		m.follow(f.of)
	}
	terms := make([]term, len(f.terms))
	for n, t := range f.terms {
		terms[n] = t
		if t.of == every || t.mean > 1e-7 || t.size > 4 || m.demands[t.of].beta < surely {
			terms[n] = m.again(t)
		}
	}
	out := sumOf(terms)
	out.weakest = m.weakest()
	f.seen[size] = out
	return out
}

// follow takes the lines, and the order, of the demands of another size.
func (m *model) follow(other *model) {
	byID := make([]*demand, len(m.demands))
	for _, d := range m.demands {
		byID[d.id] = d
	}
	m.shared = other.shared
	for n, l := range other.demands {
		m.demands[n] = byID[l.id]
		m.demands[n].line, m.demands[n].apart = l.line, l.apart
	}
}
