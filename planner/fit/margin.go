package fit

import (
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Margin is what would make a size that is not sure so.
type Margin struct {
	// First is what runs out first, Yarn and Colour those of its first package.
	First        Binding
	Yarn, Colour string
	// More is how much more of that yarn would do: of a warp, whole windings.
	More measure.Length
	// PutUp is how the yarn is sold, and Packages how many would do; nil and 0 where
	// that is not known.
	PutUp    *PutUp
	Packages int
}

// mostPackages is the most packages that anybody is told to buy for a margin.
const mostPackages = 20

// Margin says how much more of the yarn that runs out first would make a size fit with
// 95 %; nil where it does, or where more of that yarn alone would not help.
func (o Odds) Margin() (*Margin, error) {
	s, p := o.solver, o.problem
	if s == nil || o.Verdict == chance.Sure {
		return nil, nil
	}
	pool := p.Pool(o.Weakest)
	if len(pool) == 0 {
		return nil, nil
	}
	like := &s.r.Packages[pool[0]]
	m := &Margin{First: o.First, Yarn: like.Yarn, Colour: like.Colour}
	most, err := s.more(m, p, o.Weakest)
	if err != nil || !most {
		return nil, err
	}
	return m, s.buy(m, p, o.Weakest)
}

// more finds the least yarn that would do; false where as much again would not.
func (s *solver) more(m *Margin, p chance.Problem, demand int) (bool, error) {
	unit := int64(p.UnitLength())
	most := int64(p.Wanted(demand))
	with := func(left int64) chance.Problem { return p.With(demand, float64(most-left)) }
	left, err := chance.GreatestQuick(with, most, max(1, most-most/20))
	if err != nil || left == 0 {
		return false, err
	}
	m.More = measure.Length(most - left)
	if m.First.Kind != Weft && unit > 0 {
		m.More = measure.Length((int64(m.More) + unit - 1) / unit * unit)
	}
	return true, nil
}

// buy counts the packages as sold that would do.
func (s *solver) buy(m *Margin, p chance.Problem, demand int) error {
	for i := range s.r.PutUps {
		put := &s.r.PutUps[i]
		if put.Yarn != m.Yarn || put.Colour != m.Colour || put.Length <= 0 {
			continue
		}
		with := p
		for n := 1; n <= mostPackages; n++ {
			with = with.With(demand, float64(put.Length))
			if measure.Length(n)*put.Length < m.More {
				continue
			}
			a, err := chance.Fits(with)
			if err != nil {
				return err
			}
			if a.Verdict == chance.Sure {
				m.PutUp, m.Packages = put, n
				return nil
			}
		}
	}
	return nil
}
