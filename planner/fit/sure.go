package fit

import (
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// problem states trial t at finished length lf as a question to package chance,
// on the middle estimates.
func (s *solver) problem(threaded int, lf int64, t *trial) chance.Problem {
	per, _ := s.r.unit(0)
	p := chance.Problem{
		Packages: s.r.chancePackages(),
		WarpEnd:  float64(s.r.Geometry.WarpEnd(measure.Length(lf))),
		Unit:     per,
	}
	for n, ends := range t.ends {
		if ends > 0 {
			c := &s.sources[n]
			pkgs := append(append([]int(nil), c.plain...), c.mixed...)
			p.Warp = append(p.Warp, chance.WarpPool{Packages: pkgs, Ends: ends * s.r.strandsPerEnd()})
		}
	}
	weft := int64(s.r.Geometry.Weft(threaded, measure.Length(lf)))
	for n, pieces := range t.pieces {
		need := s.pieceNeed(weft) * int64(pieces)
		if s.r.Lots == AnyLot {
			need = weft
		}
		if need > 0 {
			need += s.joinCharge(n)
			p.Weft = append(p.Weft, chance.WeftPool{Packages: s.wefts[n].pkgs, Need: float64(need)})
		}
	}
	return p
}

// joinCharge is what the joins of a weft source take from its total length, in mm.
func (s *solver) joinCharge(n int) int64 {
	sum := -s.wefts[n].usable
	for _, i := range s.wefts[n].pkgs {
		sum += s.length[i]
	}
	return sum
}

// chanceOf is the probability that trial t fits at length lf.
func (s *solver) chanceOf(threaded int, lf int64, t *trial) (float64, error) {
	a, err := chance.Fits(s.problem(threaded, lf, t))
	return a.Probability, err
}

// middle returns the solver for the middle estimates.
func (s *solver) middle() *solver {
	if s.r.Level == Middle {
		return s
	}
	r := *s.r
	r.Level = Middle
	return newSolver(&r)
}

// sureLength returns the greatest length that fits with a probability of 95 %: the
// stripes and lots are those of the greatest length on the middle estimates,
// which bounds it.
func (s *solver) sureLength(threaded int) (measure.Length, error) {
	m := s.middle()
	top, _, _ := m.greatestLength(threaded)
	if top == 0 {
		return 0, nil
	}
	fixed, _ := m.layout(threaded)
	t := m.try(threaded, top, fixed)
	var failed error
	lf := lastAbove(top, chance.SureFrom, func(lf int64) float64 {
		p, err := m.chanceOf(threaded, lf, &t)
		if err != nil {
			failed = err
		}
		return p
	})
	return measure.Length(lf), failed
}

// lastAbove returns the greatest lf in 1…top with p(lf) ≥ level, 0 if there is
// none; p must not rise. It narrows by straight lines between the values found
// and halves the interval whenever a line has not done so.
func lastAbove(top int64, level float64, p func(lf int64) float64) int64 {
	lo, hi := int64(0), top
	pl, ph := 1.0, p(top)
	if ph >= level {
		return top
	}
	for halve := false; hi-lo > 1; {
		mid := (lo + hi) / 2
		if !halve && pl > ph {
			mid = lo + int64(float64(hi-lo)*(pl-level)/(pl-ph))
			mid = min(hi-1, max(lo+1, mid))
		}
		before := hi - lo
		if v := p(mid); v >= level {
			lo, pl = mid, v
		} else {
			hi, ph = mid, v
		}
		halve = hi-lo > before/2
	}
	return lo
}

// addSure computes the 95 % lengths of the whole frontier.
func (s *solver) addSure(points []Point) error {
	for i := range points {
		l, err := s.sureLength(points[i].Threaded)
		if err != nil {
			return err
		}
		points[i].Length95, points[i].HasLength95 = l, true
	}
	return nil
}
