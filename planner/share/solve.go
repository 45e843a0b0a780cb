package share

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Solve solves a problem. It fails for one that makes no sense; that nothing can
// be made is an answer. Where the context ends first, or so many nodes have been
// looked at as the problem allows, the answer is the best found, with its bound and
// Proven false.
func Solve(ctx context.Context, p Problem) (Solution, error) {
	if err := p.check(); err != nil {
		return Solution{}, err
	}
	out := Solution{Choice: make([]int, len(p.Projects)), Uses: make([][]Use, len(p.Projects)),
		Proven: true}
	for b := range out.Choice {
		out.Choice[b] = -1
	}
	for _, s := range p.divide() {
		t := newBranching(ctx, s)
		t.most = p.Nodes
		t.run()
		out.Value += t.best
		out.Bound += t.bound()
		out.Nodes += t.nodes
		t.write(p, &out)
	}
	out.Proven = out.Value >= out.Bound
	return out, nil
}

// The number of subgradient steps at the root, in so many rounds, and below it.
const (
	rootRounds = 12
	rootSteps  = 300
	nodeSteps  = 30
)

// branching is the branch and bound over one set.
type branching struct {
	ctx     context.Context
	set     *set
	pricing *pricing
	held    *holding
	open    [][]int // options of each project still to be considered; none once it is settled
	byValue [][]int
	best    int64
	choice  []int
	nodes   int
	most    int // nodes, 0 for no limit
	stopped bool
	// alike numbers the projects; those with the same options have the same number.
	alike []int
	// grain divides every value, so that bounds can be rounded down to it.
	grain int64
	// loose is the greatest bound of what was passed over without proof.
	loose int64
}

func newBranching(ctx context.Context, s *set) *branching {
	t := &branching{ctx: ctx, set: s, pricing: newPricing(s), held: newHolding(s),
		choice: make([]int, len(s.options))}
	for b, options := range s.options {
		t.choice[b] = -1
		order := make([]int, len(options))
		for o := range order {
			order[o] = o
		}
		slices.SortStableFunc(order,
			func(x, y int) int { return cmp.Compare(options[y].value, options[x].value) })
		for _, c := range options {
			t.grain = gcd(t.grain, c.value)
		}
		t.byValue = append(t.byValue, order)
		t.open = append(t.open, slices.Clone(order))
	}
	t.alike = s.alike()
	return t
}

// gcd is the greatest common divisor, of 0 and b it is b.
func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// goal is the bound below which nothing better than the best is left.
func (t *branching) goal() float64 { return float64(t.best+max(1, t.grain)) - 1e-3 }

// down rounds a bound down to a value that a choice can have.
func (t *branching) down(bound float64) int64 {
	g := max(1, t.grain)
	return int64(math.Floor(bound/float64(g)+1e-6)) * g
}

// bound is what no choice of the set can beat.
func (t *branching) bound() int64 { return max(t.best, t.loose) }

// run solves the set.
func (t *branching) run() {
	t.keep()
	n := len(t.set.options)
	first := prices{each: make([]float64, len(t.set.parts)), best: make([]int, n),
		net: make([]float64, n)}
	for _, key := range []func(b, place int) float64{
		func(b, _ int) float64 { return float64(b) },
		// who has least to choose from goes first
		func(b, _ int) float64 { return float64(len(t.byValue[b])) },
	} {
		start := newHolding(t.set)
		start.known = t.held.known
		t.fill(start, key, t.byValue)
		start.improve(t.byValue)
		t.keepOf(start)
	}
	t.node(t.root(first))
}

// root narrows the whole set down before anything is chosen: prices, a choice
// made out of them and the options struck out by them help each other on.
func (t *branching) root(at prices) prices {
	at = t.pricing.level(at, t.open, t.held, t.goal(), rootSteps)
	for range rootRounds {
		before := at.bound
		at = t.pricing.minimise(at, t.open, t.held, t.goal(), rootSteps)
		if t.down(at.bound) <= t.best || t.ctx.Err() != nil {
			break
		}
		t.repair(at, true)
		if len(t.strike(at)) == 0 && before > 0 && before-at.bound < 1e-4*at.bound {
			break
		}
	}
	return at
}

// keep keeps what is held if it is the best so far.
func (t *branching) keep() { t.keepOf(t.held) }

func (t *branching) keepOf(h *holding) {
	if h.value > t.best {
		t.best = h.value
		copy(t.choice, h.choice)
	}
}

// repair makes a choice that can be made out of the best options at prices.
func (t *branching) repair(at prices, thorough bool) {
	h := newHolding(t.set)
	h.known = t.held.known
	for b, o := range t.held.choice {
		if o >= 0 {
			h.add(b, o)
		}
	}
	byNet := make([][]int, len(t.open))
	for b := range t.open {
		if h.choice[b] < 0 {
			byNet[b] = t.byNet(at, b)
		}
	}
	t.fill(h, func(b, _ int) float64 { return -at.net[b] }, byNet)
	if thorough {
		h.improve(t.byValue)
	} else {
		for b := range h.choice {
			h.better(b, t.byValue[b])
		}
	}
	t.keepOf(h)
}

// byNet orders the open options of a project by what they are worth net of prices.
func (t *branching) byNet(at prices, b int) []int {
	options := slices.Clone(t.open[b])
	net := make([]float64, len(t.set.options[b]))
	for _, o := range options {
		net[o] = t.pricing.net(&t.set.options[b][o], at.each)
	}
	slices.SortStableFunc(options, func(x, y int) int { return cmp.Compare(net[y], net[x]) })
	return options
}

// fill adds the first option that fits of every project that has none, in the
// order of a key.
func (t *branching) fill(h *holding, key func(b, place int) float64, options [][]int) {
	order := make([]int, 0, len(options))
	for b := range options {
		if h.choice[b] < 0 {
			order = append(order, b)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(key(x, x), key(y, y)) })
	for _, b := range order {
		for _, o := range options[b] {
			if h.fits(b, o) {
				h.add(b, o)
				break
			}
		}
	}
}

// node looks at what can be added to what is held. It leaves held and open as
// they were.
func (t *branching) node(at prices) {
	var undo []struck
	defer func() { t.restore(undo) }()
	for {
		t.nodes++
		at = t.pricing.minimise(at, t.open, t.held, t.goal(), nodeSteps)
		limit := t.down(at.bound)
		if limit <= t.best {
			return
		}
		if t.stopped = t.stopped || t.ctx.Err() != nil || t.most > 0 &&
			t.nodes > t.most; t.stopped {
			t.loose = max(t.loose, limit)
			return
		}
		t.repair(at, false)
		if limit <= t.best {
			return
		}
		undo = append(undo, t.strike(at)...)
		b := t.pick(at)
		if b < 0 {
			t.keep()
			if limit > t.best { // no option is worth its price: what is held is all
				at = t.pricing.minimise(at, t.open, t.held, t.goal(), rootSteps)
				if t.down(at.bound) > t.best && t.anyOpen() {
					b = t.firstOpen()
				}
			}
			if b < 0 {
				return
			}
			at.best[b] = t.open[b][0]
		}
		o := at.best[b]
		t.descend(b, o, at, limit)
		undo = append(undo, t.rule(b, o, at)...)
	}
}

// rule takes an option out for a project, and for every open one alike:
// what another of them could have with it is, the two exchanged, what was looked
// at just before.
func (t *branching) rule(b, o int, at prices) []struck {
	var undo []struck
	for other, open := range t.open {
		if t.alike[other] != t.alike[b] || !slices.Contains(open, o) {
			continue
		}
		undo = append(undo, struck{other, open})
		t.open[other] = slices.DeleteFunc(slices.Clone(open), func(x int) bool { return x == o })
		if at.best[other] == o {
			at.best[other] = -1
		}
	}
	return undo
}

// descend goes into the branch in which project b has option o.
func (t *branching) descend(b, o int, at prices, limit int64) {
	t.held.doubt = false
	if !t.held.fits(b, o) {
		if t.held.doubt {
			t.loose = max(t.loose, limit)
		}
		return
	}
	rest := t.open[b]
	t.open[b] = nil
	t.held.add(b, o)
	t.keep()
	t.node(at)
	t.held.drop(b)
	t.open[b] = rest
}

func (t *branching) anyOpen() bool { return t.firstOpen() >= 0 }

func (t *branching) firstOpen() int {
	return slices.IndexFunc(t.open, func(options []int) bool { return len(options) > 0 })
}

// struck is the list of open options of a project before some were struck out.
type struck struct {
	project int
	open    []int
}

func (t *branching) restore(undo []struck) {
	for i := len(undo) - 1; i >= 0; i-- {
		t.open[undo[i].project] = undo[i].open
	}
}

// strike strikes out options that can be part of nothing better: those that do
// not fit beside what is held, and those whose reduced value keeps the bound
// at the best found.
func (t *branching) strike(at prices) []struck {
	var undo []struck
	for b, options := range t.open {
		kept := make([]int, 0, len(options))
		for _, o := range options {
			c := &t.set.options[b][o]
			reduced := at.bound - at.net[b] + t.pricing.net(c, at.each)
			if t.down(reduced) > t.best && t.inReach(c) {
				kept = append(kept, o)
			}
		}
		if len(kept) < len(options) {
			undo = append(undo, struck{b, options})
			t.open[b] = kept
			if at.best[b] >= 0 && !slices.Contains(kept, at.best[b]) {
				at.best[b] = -1
			}
		}
	}
	return undo
}

// inReach says whether the yarn left is long enough for an option.
func (t *branching) inReach(c *choiceOf) bool {
	for _, d := range c.needs {
		if d.length > t.held.left[d.resource] {
			return false
		}
	}
	return true
}

// pick chooses the project to branch on: among those with a best option, the one
// whose option buys most at a price of what is not sold, then the one that is
// worth most; −1 if none has a best option.
func (t *branching) pick(at prices) int {
	t.pricing.begin(&at, t.open)
	t.pricing.evaluate(&at, t.open, t.held)
	best, bestOver, bestNet := -1, -1.0, 0.0
	for b, o := range at.best {
		if o < 0 {
			continue
		}
		over := 0.0
		for _, part := range t.set.options[b][o].parts {
			over += max(0, -t.pricing.over[part]) * at.each[part]
		}
		if over > bestOver || over == bestOver && at.net[b] > bestNet {
			best, bestOver, bestNet = b, over, at.net[b]
		}
	}
	return best
}

// write puts the best choice of the set into a solution.
func (t *branching) write(p Problem, out *Solution) {
	h := newHolding(t.set)
	for b, o := range t.choice {
		if o >= 0 {
			h.add(b, o)
			out.Choice[t.set.projects[b]] = t.set.options[b][o].at
		}
	}
	for block := range t.set.blocks {
		t.writeBlock(p, h, block, out)
	}
}

// writeBlock cuts the options chosen from a block and notes what each package
// gives.
func (t *branching) writeBlock(p Problem, h *holding, block int, out *Solution) {
	var options []*choiceOf
	for _, b := range h.in[block] {
		options = append(options, h.option(b, h.choice[b]))
	}
	if len(options) == 0 {
		return
	}
	c := t.set.cut(block, options)
	if c.solve() != can {
		return
	}
	w, f := 0, 0
	for n, b := range h.in[block] {
		project := t.set.projects[b]
		asked := p.Projects[project][options[n].at]
		w, f = c.note(&out.Uses[project], asked, t.set.blocks[block], w, f)
	}
}
