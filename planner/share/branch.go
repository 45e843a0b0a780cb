package share

import (
	"cmp"
	"context"
	"math"
	"slices"
)

const (
	// rootSteps and nodeSteps are how long prices are looked for at the root and below.
	rootSteps = 300
	nodeSteps = 15
	// maxBounds is how many bounds are kept for each place.
	maxBounds = 200
	// aimNodes is how many nodes are looked at for one aim but the last.
	aimNodes = 60_000
)

// branching is the branch and bound over one set: projects are decided on in a fixed
// order, each at its place, so that every bound found for a place holds wherever that
// place is come to again.
type branching struct {
	ctx     context.Context
	set     *set
	options [][]choiceOf // of each place
	ruled   [][]int      // of each place, how often none and each option are ruled out
	price   []int        // of looking for a bound at each place, in nodes
	held    *holding
	pricing *bounding
	bounds  [][]linear // of each place
	least   [][]int64  // of each place, what is asked of each resource from there on at least
	share   []float64  // of each resource, what is left
	limit   []float64  // at each place, what is held and can still be had
	ways    [][]offer  // room for each place
	grain   int64      // divides every value, so that bounds can be rounded down to it
	best    int64
	choice  []int // by place
	nodes   int
	spent   int   // of these, on bounds
	most    int   // nodes, 0 for no limit
	loose   int64 // the greatest bound of what was passed over without proof
	upper   int64 // what no choice of the set can beat
}

// offer is an option of a place with what it is worth net of prices.
type offer struct {
	at  int // −1 for none
	net float64
}

func newBranching(ctx context.Context, s *set) *branching {
	s.arrange()
	n := len(s.options)
	t := &branching{ctx: ctx, set: s, options: s.options, ruled: make([][]int, n),
		held: newHolding(s), pricing: newBounding(s.options, len(s.resources)),
		bounds: make([][]linear, n+1), share: make([]float64, len(s.resources)),
		limit: make([]float64, n+1), ways: make([][]offer, n), choice: make([]int, n),
		grain: s.grain()}
	alike := s.alike()
	t.price = make([]int, n)
	for at, rest := n-1, 0; at >= 0; at-- {
		rest += len(s.options[at])
		t.price[at] = 1 + nodeSteps*(rest+len(s.resources)*len(s.resources))/25
	}
	for at, options := range s.options {
		t.choice[at] = -1
		if t.ruled[at] = make([]int, len(options)+1); alike[at] < at {
			t.ruled[at] = t.ruled[alike[at]]
		}
	}
	return t
}

// down rounds a bound down to a value that a choice can have.
func (t *branching) down(bound float64) int64 { return roundDown(bound, t.grain) }

// run solves the set.
func (t *branching) run() {
	t.findLeast()
	t.left(0)
	root := t.pricing.minimise(0, t.share, make([]float64, len(t.share)), 0, rootSteps)
	for _, options := range t.options {
		slices.SortStableFunc(options, func(a, b choiceOf) int {
			return cmp.Or(cmp.Compare(b.net(root.price), a.net(root.price)),
				cmp.Compare(b.value, a.value))
		})
	}
	for at := range t.bounds {
		t.bounds[at] = []linear{t.pricing.above(at, linear{price: slices.Clone(root.price)})}
	}
	t.upper = min(t.down(t.bounds[0][0].at(t.share)), t.byNumber())
	t.aim()
}

// byNumber is a bound from how many projects can be made at most: the linear program for most
// of them, rounded down, cuts off the part of a project that the one for the most value would
// make (a cut of Chvátal and Gomory). It bounds the whole alone: prices with it in the search
// prefer great pieces to many.
func (t *branching) byNumber() int64 {
	bound := func(options [][]choiceOf, left []float64) float64 {
		return newBounding(options, len(left)).minimise(0, left, make([]float64, len(left)), 0, rootSteps).at(left)
	}
	limit := roundDown(bound(t.with(func(c *choiceOf) { c.value = 1 }), t.share), 1)
	if limit < 1 {
		return 0
	}
	number := demand{len(t.share), 1, 1 / float64(limit)}
	return t.down(bound(t.with(func(c *choiceOf) { c.needs = append(slices.Clip(c.needs), number) }),
		append(slices.Clone(t.share), 1)))
}

// with is the options of all places, changed.
func (t *branching) with(change func(*choiceOf)) [][]choiceOf {
	out := make([][]choiceOf, len(t.options))
	for at, options := range t.options {
		out[at] = slices.Clone(options)
		for o := range out[at] {
			change(&out[at][o])
		}
	}
	return out
}

// aim looks for what is worth a little less than the bound at first, then for what is
// worth less and less: the closer the aim, the more is passed over at once, and what is
// not found lowers the bound.
func (t *branching) aim() {
	found, most := t.best, t.most
	for miss := 1.0 / 4096; found < t.upper; miss *= 2 {
		aim := max(found, t.down(float64(t.upper)*(1-miss)))
		if t.most = t.nodes + aimNodes; aim == found {
			t.most = most
		}
		t.best, t.loose = aim, 0
		t.visit(0)
		t.upper = min(t.upper, max(t.best, t.loose))
		if t.best > aim {
			found = t.best
		}
		if aim == found || t.ctx.Err() != nil {
			break
		}
	}
	t.best = found
}

// findLeast works out least.
func (t *branching) findLeast() {
	k := len(t.share)
	t.least = make([][]int64, len(t.options)+1)
	last := make([]int64, k)
	for r := range last {
		last[r] = math.MaxInt64
	}
	t.least[len(t.options)] = last
	for at := len(t.options) - 1; at >= 0; at-- {
		last = slices.Clone(last)
		for _, c := range t.options[at] {
			for _, d := range c.needs {
				last[d.resource] = min(last[d.resource], d.length)
			}
		}
		t.least[at] = last
	}
}

// left works out the share of each resource that is left and of use from a place on.
func (t *branching) left(place int) {
	for r, l := range t.held.left {
		t.share[r] = 0
		if l >= t.least[place][r] {
			t.share[r] = float64(l) / float64(t.set.resources[r].length)
		}
	}
}

// visit decides on the projects from a place on, beside what is held, and returns the
// place to go on at: an earlier one where what is held up to there cannot be cut.
func (t *branching) visit(place int) int {
	t.nodes++
	if t.held.value > t.best {
		if back := t.held.firstUncut(); back >= 0 {
			if t.held.doubt {
				t.loose = max(t.loose, t.down(t.limit[back]))
			}
			return back
		}
		t.best = t.held.value
		copy(t.choice, t.held.choice)
	}
	bound, worth := t.bounded(place)
	if t.limit[place] = float64(t.held.value) + worth; place == len(t.options) ||
		t.down(t.limit[place]) <= t.best {
		return place
	}
	if t.most > 0 && t.nodes > t.most || t.ctx.Err() != nil {
		t.loose = max(t.loose, t.down(t.limit[place]))
		return place
	}
	return t.descend(place, bound)
}

// bounded is the best bound known for a place beside what is held, or a better one,
// and what it comes to.
func (t *branching) bounded(place int) (linear, float64) {
	t.left(place)
	goal := float64(t.best+t.grain-t.held.value) - 1e-3
	known := t.bounds[place]
	low, worth := 0, math.Inf(1)
	for i, l := range known {
		if v := l.at(t.share); v < worth {
			low, worth = i, v
		}
		if worth < goal {
			known[low], known[low/2] = known[low/2], known[low] // used again soon
			return known[low/2], worth
		}
	}
	if place < len(t.options)-1 && len(known) < maxBounds && (len(known) < 2 || 2*t.spent < t.nodes) {
		t.nodes += t.price[place]
		t.spent += t.price[place]
		l := t.pricing.minimise(place, t.share, known[low].price, goal, nodeSteps)
		if v := l.at(t.share); v < worth-1e-9 {
			t.bounds[place] = append(known, l)
			return l, v
		}
	}
	return known[low], worth
}

// descend tries the options of a place, the best at the prices of a bound first. What was
// tried for a project is ruled out for those alike that come after it: what one of them
// could have with it is, the two exchanged, what was tried.
func (t *branching) descend(place int, bound linear) int {
	most, tried, back := t.offers(place, bound), 0, place
	ways, ruled := t.ways[place], t.ruled[place]
	for ; tried < len(ways) && back >= place; tried++ {
		if o := ways[tried]; t.down(t.limit[place]-most+o.net) > t.best {
			back = min(place, t.try(place, o.at))
		}
		ruled[ways[tried].at+1]++
	}
	for _, o := range ways[:tried] {
		ruled[o.at+1]--
	}
	return back
}

// try gives a place an option, or none, and goes on from there.
func (t *branching) try(place, at int) int {
	if at < 0 {
		return t.visit(place + 1)
	}
	t.held.add(place, at)
	defer t.held.drop(place)
	return t.visit(place + 1)
}

// offers lists the options of a place that there is yarn for, and none, best first, and
// returns what the best is worth at prices, whether there is yarn for it or not.
func (t *branching) offers(place int, bound linear) float64 {
	_, most := best(t.options[place], bound.price)
	ways, ruled := t.ways[place][:0], t.ruled[place]
	for o := range t.options[place] {
		if c := &t.options[place][o]; ruled[o+1] == 0 && t.held.room(c) {
			ways = append(ways, offer{o, c.net(bound.price)})
		}
	}
	if ruled[0] == 0 {
		ways = append(ways, offer{-1, 0})
	}
	slices.SortStableFunc(ways, func(a, b offer) int { return cmp.Compare(b.net, a.net) })
	t.ways[place] = ways
	return most
}
