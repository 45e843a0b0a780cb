package share

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// The number of subgradient steps, in so many rounds.
const (
	priceRounds = 12
	priceSteps  = 300
)

// narrowing finds a good choice for a set, a bound, and the options that may be part of
// a better choice: prices, a choice made out of them and the options struck out by them
// help each other on.
type narrowing struct {
	ctx     context.Context
	set     *set
	pricing *pricing
	open    [][]int // options of each project that may be part of something better
	byValue [][]int
	best    int64
	choice  []int
	bound   float64
	grain   int64 // divides every value, so that bounds can be rounded down to it
	known   map[string]outcome
	alike   []int
}

func newNarrowing(ctx context.Context, s *set) *narrowing {
	s.findParts()
	t := &narrowing{ctx: ctx, set: s, pricing: newPricing(s), choice: make([]int, len(s.options)),
		known: map[string]outcome{}, grain: s.grain(), alike: s.alike()}
	for b, options := range s.options {
		t.choice[b] = -1
		order := make([]int, len(options))
		for o := range order {
			order[o] = o
		}
		slices.SortStableFunc(order,
			func(x, y int) int { return cmp.Compare(options[y].value, options[x].value) })
		t.byValue = append(t.byValue, order)
		t.open = append(t.open, slices.Clone(order))
	}
	return t
}

// goal is the bound below which nothing better than the best is left.
func (t *narrowing) goal() float64 { return float64(t.best+t.grain) - 1e-3 }

// down rounds a bound down to a value that a choice can have.
func (t *narrowing) down(bound float64) int64 { return roundDown(bound, t.grain) }

func (t *narrowing) run() {
	n := len(t.set.options)
	at := prices{each: make([]float64, len(t.set.parts)), best: make([]int, n),
		net: make([]float64, n)}
	for _, key := range []func(b int) float64{
		func(b int) float64 { return float64(b) },
		// who has least to choose from goes first
		func(b int) float64 { return float64(len(t.byValue[b])) },
	} {
		start := t.holding()
		start.fill(key, t.byValue)
		start.improve(t.byValue)
		t.keep(start)
	}
	for part, v := range t.set.level() {
		at.each[part] = v
	}
	for range priceRounds {
		before := at.bound
		at = t.pricing.minimise(at, t.open, t.goal(), priceSteps)
		t.bound = at.bound
		if t.down(at.bound) <= t.best || t.ctx.Err() != nil {
			return
		}
		t.repair(at)
		if !t.strike(at) && before > 0 && before-at.bound < 1e-4*at.bound {
			return
		}
	}
}

func (t *narrowing) holding() *holding {
	h := newHolding(t.set)
	h.known = t.known
	return h
}

// keep keeps what is held if it is the best so far.
func (t *narrowing) keep(h *holding) {
	if h.value > t.best {
		t.best = h.value
		copy(t.choice, h.choice)
	}
}

// repair makes a choice that can be made out of the best options at prices.
func (t *narrowing) repair(at prices) {
	h := t.holding()
	byNet := make([][]int, len(t.open))
	for b := range t.open {
		byNet[b] = t.byNet(at, b)
	}
	h.fill(func(b int) float64 { return -at.net[b] }, byNet)
	h.improve(t.byValue)
	t.keep(h)
}

// byNet orders the open options of a project by what they are worth net of prices.
func (t *narrowing) byNet(at prices, b int) []int {
	options := slices.Clone(t.open[b])
	net := make([]float64, len(t.set.options[b]))
	for _, o := range options {
		net[o] = t.pricing.net(&t.set.options[b][o], at.each)
	}
	slices.SortStableFunc(options, func(x, y int) int { return cmp.Compare(net[y], net[x]) })
	return options
}

// strike strikes out options whose reduced value keeps the bound at the best found, and
// says whether there were any.
func (t *narrowing) strike(at prices) bool {
	any := false
	for b, options := range t.open {
		kept := slices.DeleteFunc(slices.Clone(options), func(o int) bool {
			reduced := at.bound - at.net[b] + t.pricing.net(&t.set.options[b][o], at.each)
			return t.down(reduced) <= t.best
		})
		any = any || len(kept) < len(options)
		t.open[b] = kept
	}
	t.equal()
	return any
}

// equal strikes out for every project what is struck out for one alike.
func (t *narrowing) equal() {
	for b, first := range t.alike {
		t.open[first] = slices.DeleteFunc(t.open[first],
			func(o int) bool { return !slices.Contains(t.open[b], o) })
	}
	for b, first := range t.alike {
		t.open[b] = slices.Clone(t.open[first])
	}
}

// grain divides every value of the set.
func (s *set) grain() int64 {
	var g int64
	for _, options := range s.options {
		for _, c := range options {
			for v := c.value; v != 0; {
				g, v = v, g%v
			}
		}
	}
	return max(1, g)
}

// roundDown is the greatest multiple of a grain that is no more than a bound.
func roundDown(bound float64, grain int64) int64 {
	return int64(math.Floor(bound/float64(grain)+1e-6)) * grain
}

// level is a price for each part in proportion to its length: far fewer rates than there
// are parts, so that they are soon good where there are many.
func (s *set) level() []float64 {
	b := newBounding(s.options, len(s.resources))
	all, none := make([]float64, len(s.resources)), make([]float64, len(s.resources))
	for r := range all {
		all[r] = 1
	}
	rates := b.minimise(0, all, none, 0, rootSteps).price
	out := make([]float64, len(s.parts))
	for at, p := range s.parts {
		out[at] = 0
		for _, d := range s.needs(p.sample.windings, p.sample.wefts) {
			out[at] += d.share * rates[d.resource]
		}
	}
	return out
}
