package fit

import (
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// problem states trial t at finished length lf as a question to package chance,
// on the middle estimates.
func (s *solver) problem(threaded int, lf int64, t *trial) chance.Problem {
	end := func(g Geometry) measure.Length { return g.WarpEnd(measure.Length(lf)) }
	p := chance.Problem{
		Packages: s.r.chancePackages(),
		WarpEnd:  chance.Need{Length: float64(end(s.r.Geometry)), Shared: s.r.loadings(1, end)},
		Unit:     s.perUnit(),
	}
	for n, ends := range t.ends {
		if ends > 0 {
			p.Warp = append(p.Warp, chance.WarpPool{Packages: s.sources[n].all(),
				Ends: ends * s.r.strandsPerEnd()})
		}
	}
	weft := func(g Geometry) measure.Length { return g.Weft(threaded, measure.Length(lf)) }
	all := int64(weft(s.r.Geometry))
	once := int64(s.r.Geometry.Once(threaded))
	for n := range t.pieces {
		need := s.weftOf(all, once, t, n)
		if need > 0 {
			shared := s.r.loadings(float64(need)/float64(all), weft)
			need += s.joinCharge(n)
			p.Weft = append(p.Weft, chance.WeftPool{Packages: s.wefts[n].pkgs,
				Need: chance.Need{Length: float64(need), Shared: shared}})
		}
	}
	if all > 0 && len(p.Weft) == 0 { // none of the weft is of use
		p.Weft = append(p.Weft, chance.WeftPool{Need: chance.Need{Length: float64(all)}})
	}
	return p
}

// weftOf is what source n gives of a weft of so much, of which so much is woven once.
func (s *solver) weftOf(all, once int64, t *trial, n int) int64 {
	all, once = s.r.ofSide(all), s.r.ofSide(once)
	if s.mingled() {
		return all
	}
	need := s.pieceNeed(all, once) * int64(t.pieces[n])
	if t.once[n] {
		need += once
	}
	return min(all, need)
}

// demands says what stands in the way where each demand of a problem runs short, in its
// order.
func (s *solver) demands(t *trial) []Binding {
	var out []Binding
	for n, ends := range t.ends {
		switch {
		case ends == 0:
		case s.r.Plan.Kind == anyMix:
			out = append(out, s.r.short(Warp))
		default:
			out = append(out, Binding{Colour, s.sources[n].colour})
		}
	}
	return append(out, slices.Repeat([]Binding{s.r.short(Weft)}, 1+len(t.pieces))...)
}

// joinCharge is what the joins of a weft source take from its total length, in mm.
func (s *solver) joinCharge(n int) int64 {
	sum := -s.wefts[n].usable
	for _, i := range s.wefts[n].pkgs {
		sum += s.length[i]
	}
	return sum
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

// sureLength returns the greatest length that fits with a probability of 95 %: the stripes
// and lots of the warp are those of the greatest length on the middle estimates, which bounds
// it.
func (s *solver) sureLength(threaded int) (measure.Length, error) {
	m := s.middle()
	top, _, _ := m.greatestLength(threaded)
	lf, err := m.likeliest(threaded, top, top, func(q chance.Question, _ int64) (int64, error) {
		lf, _, err := chance.Greatest(q, top)
		return lf, err
	})
	return measure.Length(lf), err
}

// likeliest is the greatest length to find, with the weft shared out as it is likeliest to
// fit at that length: what is found with one sharing is asked again with what is best there.
func (s *solver) likeliest(threaded int, top, near int64,
	find func(q chance.Question, near int64) (int64, error)) (int64, error) {
	found, last := int64(-1), sharing{}
	for top > 0 {
		t, err := s.laidOut(threaded, top, near)
		if err != nil || found >= 0 && t.sharing.equal(last) {
			return found, err
		}
		lf, err := find(s.question(threaded, &t), near)
		if err != nil || lf <= found {
			return found, err
		}
		found, near, last = lf, max(1, lf), t.sharing
	}
	return 0, nil
}

// sureAt is the probability that a length fits, of the very question that the 95 % length
// answers.
func (s *solver) sureAt(threaded int, lf int64) (chance.Answer, error) {
	m := s.middle()
	top, _, _ := m.greatestLength(threaded)
	t, err := m.laidOut(threaded, top, lf)
	if err != nil {
		return chance.Answer{}, err
	}
	return chance.Fits(m.problem(threaded, lf, &t))
}

// laidOut is the trial of length top, with the weft shared out as it is best at another.
func (s *solver) laidOut(threaded int, top, at int64) (trial, error) {
	fixed, _ := s.layout(threaded)
	t := s.try(threaded, top, fixed)
	return t, s.layOut(&t, threaded, at, false)
}

// question states the lengths of an end count as problems, laid out as trial t.
func (s *solver) question(threaded int, t *trial) chance.Question {
	return func(lf int64) chance.Problem { return s.problem(threaded, lf, t) }
}

// anchors is how many 95 % lengths of a frontier are worked out: fewer of many packages.
func (s *solver) anchors() int {
	if len(s.r.Packages) > manyPackages {
		return 5
	}
	return 9
}

const manyPackages = 50

// addSure computes the 95 % lengths of a frontier, to about 0.01 of the probability, for
// points spread evenly over it. Between two of them it is the lesser of their shares of
// the greatest length: a little too short rather than too long.
func (s *solver) addSure(points []Point) error {
	m := s.middle()
	last := len(points) - 1
	before, share, anchors := 0, 1.0, min(s.anchors(), len(points))
	for n := range anchors {
		at := 0
		if last > 0 {
			at = n * last / (anchors - 1)
		}
		now, err := m.sureShare(points[at].Threaded, share)
		if err != nil {
			return err
		}
		for i := before; i < at; i++ {
			points[i].setSure(min(now, share))
		}
		points[at].setSure(now)
		before, share = at+1, now
	}
	return nil
}

// setSure sets the 95 % length to a share of the greatest.
func (p *Point) setSure(share float64) {
	p.Length95, p.HasLength95 = measure.Length(share*float64(p.Length)), true
}

// sureShare is the 95 % length of an end count as a share of the greatest, sought from
// near.
func (s *solver) sureShare(threaded int, near float64) (float64, error) {
	top, _, _ := s.greatestLength(threaded)
	if top == 0 {
		return 0, nil
	}
	lf, err := s.likeliest(threaded, top, max(1, min(top, int64(near*float64(top)))),
		func(q chance.Question, near int64) (int64, error) { return chance.GreatestQuick(q, top, near) })
	return float64(lf) / float64(top), err
}
