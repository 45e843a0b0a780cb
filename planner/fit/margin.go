package fit

import (
	"cmp"
	"slices"
	"sort"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Margin is more yarn that would make a size sure that is not.
type Margin struct {
	// First is what the yarn is short for, Yarn and Colour those of its first package;
	// Both says that the package may be warp and weft.
	First        Binding
	Yarn, Colour string
	Like         string
	Both         bool
	// More is how much more of that yarn would do: of a warp, whole windings.
	More measure.Length
	// PutUp is how the yarn is sold, and Packages how many would do; nil and 0 where
	// that is not known.
	PutUp    *PutUp
	Packages int
}

// mostPackages is the most packages that anybody is told to buy for a margin.
const mostPackages = 20

// Margins say how much more of which yarn would make the size fit with 95 %: of what runs
// out first, and of what runs out next where more of that alone would not do. They are empty
// where the size fits so, or where something has no yarn at all.
func (o Odds) Margins() ([]Margin, error) {
	if o.Verdict == chance.Sure || o.request == nil {
		return nil, nil
	}
	m := margins{r: o.request, p: o.problem}
	if sure, err := m.find(o.Answer); err != nil || !sure {
		return nil, err
	}
	out := make([]Margin, len(m.short))
	for i, d := range m.short {
		like := &m.r.Packages[m.p.Pool(d)[0]]
		out[i] = Margin{First: o.demands[d], Yarn: like.Yarn, Colour: like.Colour, Like: like.ID,
			Both: like.ForWarp && like.ForWeft, More: measure.Length(m.more[i])}
	}
	return out, m.buy(out)
}

// margins are the demands that are short, in the order in which they run out, and what more
// of each makes the size sure.
type margins struct {
	r     *Request
	p     chance.Problem
	short []int
	more  []int64
}

// find finds the least of each demand that would do, with so much of the others that they
// are no matter, and raises all alike until the size is sure: packages may serve several.
//
// Where plenty of those that are short makes it hardly sure, a little of one more makes it so
// with much less in all: that one is taken in too.
func (m *margins) find(now chance.Answer) (bool, error) {
	next, err := m.enough(now)
	if err != nil || next < 0 || len(m.short) == 0 {
		return false, err
	}
	short := m.short
	found, err := m.least()
	for err == nil && found && !slices.Contains(short, next) && len(m.p.Pool(next)) > 0 {
		short = append(slices.Clone(short), next)
		wider := margins{r: m.r, p: m.p, short: short, more: m.plenty(short)}
		a, failed := chance.Nearly(wider.with(wider.more))
		if failed != nil {
			return false, failed
		}
		if ok, failed := wider.least(); failed != nil || !ok || wider.sum() >= m.sum() {
			return found, failed
		}
		*m, next = wider, a.Weakest
	}
	return found, err
}

// plenty is twice of all that some demands want.
func (m *margins) plenty(demands []int) (out []int64) {
	for _, d := range demands {
		out = append(out, 2*int64(m.p.Wanted(d)))
	}
	return out
}

// sum is all that is more, in mm.
func (m *margins) sum() (sum int64) {
	for _, more := range m.more {
		sum += more
	}
	return sum
}

// least makes plenty of what is short the least that would do.
func (m *margins) least() (bool, error) {
	plenty := slices.Clone(m.more)
	for i := range m.short {
		with := func(left int64) chance.Problem {
			most := slices.Clone(plenty)
			most[i] -= left
			return m.with(most)
		}
		left, err := chance.GreatestQuick(with, plenty[i], max(1, plenty[i]-plenty[i]/40))
		if err != nil {
			return false, err
		}
		m.more[i] = m.whole(i, plenty[i]-left)
	}
	return m.raise()
}

// enough gives plenty to whatever is short until the size is sure, and says what is weakest
// then; -1 where something has no yarn to be like, or plenty would not do.
func (m *margins) enough(a chance.Answer) (int, error) {
	for a.Verdict != chance.Sure {
		d := a.Weakest
		if len(m.p.Pool(d)) == 0 || slices.Contains(m.short, d) {
			return -1, nil
		}
		m.short = append(m.short, d)
		m.more = m.plenty(m.short)
		var err error
		if a, err = chance.Nearly(m.with(m.more)); err != nil {
			return -1, err
		}
	}
	return a.Weakest, nil
}

// raiseSteps is how many steps of a two-hundredth of all that is wanted there are.
const raiseSteps = 400

// raise adds the same share of what is wanted to each, the least that makes the size sure.
func (m *margins) raise() (bool, error) {
	least := slices.Clone(m.more)
	raised := func(n int64) chance.Problem {
		for i, d := range m.short {
			m.more[i] = m.whole(i, least[i]+int64(m.p.Wanted(d))*n/200)
		}
		return m.with(m.more)
	}
	a, err := chance.Nearly(raised(0))
	if err != nil || a.Verdict == chance.Sure {
		return err == nil, err
	}
	left, err := chance.GreatestQuick(func(left int64) chance.Problem { return raised(raiseSteps - left) },
		raiseSteps, raiseSteps-1)
	for n := raiseSteps - left; err == nil && n <= raiseSteps; n++ {
		if a, err = chance.Nearly(raised(n)); a.Verdict == chance.Sure {
			return err == nil, err
		}
	}
	return false, err
}

// with is the problem with so much more for each demand that is short.
func (m *margins) with(more []int64) chance.Problem {
	p := m.p
	for i, d := range m.short {
		p = p.With(d, float64(more[i]))
	}
	return p
}

// whole rounds what lacks of a warp up to whole windings.
func (m *margins) whole(i int, more int64) int64 {
	unit := int64(m.p.UnitLength())
	if m.short[i] >= len(m.p.Warp) || unit <= 0 {
		return more
	}
	return (more + unit - 1) / unit * unit
}

// buy counts the packages as sold that would do for each, beside what the others lack.
func (m *margins) buy(all []Margin) error {
	for i := range all {
		put := m.r.soldAs(all[i])
		if put == nil {
			continue
		}
		rest := slices.Clone(m.more)
		rest[i] = 0
		with := m.with(rest)
		var failed error
		n := 1 + sort.Search(mostPackages, func(n int) bool {
			p := with
			for range n + 1 {
				p = p.With(m.short[i], float64(put.Length))
			}
			a, err := chance.Nearly(p)
			failed = cmp.Or(failed, err)
			return a.Verdict == chance.Sure
		})
		if failed != nil {
			return failed
		}
		if n <= mostPackages {
			all[i].PutUp, all[i].Packages = put, n
		}
	}
	return nil
}

// soldAs is how the yarn of a margin is sold, nil where that is not known.
func (r *Request) soldAs(m Margin) *PutUp {
	for i := range r.PutUps {
		put := &r.PutUps[i]
		if put.Yarn == m.Yarn && put.Colour == m.Colour && put.Length > 0 {
			return put
		}
	}
	return nil
}
