package search

import (
	"cmp"
	"container/heap"
	"context"
	"slices"
)

// tuple is a set of choices: a node for each colour of the warp and one for the
// weft, which is left out where the first colour is the weft too.
type tuple struct {
	bound  int
	family family
	nodes  [maxColours + 1]int32
	ranks  [maxColours + 1]int32 // least ranks, the warp's in order, then the weft's
}

// before says whether t is to be opened before o: the greater bound, fewer
// lots, fewer colours, then the lower ranks.
func (t *tuple) before(o *tuple) bool {
	return cmp.Or(cmp.Compare(o.bound, t.bound), cmp.Compare(t.family.lots(), o.family.lots()),
		cmp.Compare(t.family.colours, o.family.colours), slices.Compare(t.ranks[:], o.ranks[:])) < 0
}

// queue is a heap of tuples.
type queue []tuple

// Len implements heap.Interface.
func (q queue) Len() int { return len(q) }

// Less implements heap.Interface.
func (q queue) Less(i, j int) bool { return q[i].before(&q[j]) }

// Swap implements heap.Interface.
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

// Push implements heap.Interface.
func (q *queue) Push(x any) { *q = append(*q, x.(tuple)) }

// Pop implements heap.Interface.
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// found is a choice with its score.
type found struct {
	choice choice
	at     size
	trial  trial
	parts  Parts
	place  tuple // as a tuple of single lots, its bound being the score
}

// finder searches one kind.
type finder struct {
	judge     *judge
	gathering *gathering
	pairs     *pairs
	bounder   bounder
	scales    scales
	sorts     []sort
	// warps, wefts and both are the lots as warp, as weft, and those that can be
	// both; bothWeft are the last as weft, node by node.
	warps, wefts, both, bothWeft *tree
	queue                        queue
	best                         []found
	top, given                   int // how many are to be found, and were given of them
	opened, looked               int
}

// between is how many tuples are opened between looks at the context.
const between = 1024

// run opens tuples best first until nothing better can be left. It fails only
// where the context ends first.
func (f *finder) run(ctx context.Context, colours int) error {
	f.begin(colours)
	for {
		if _, ok, err := f.next(ctx); !ok {
			return err
		}
	}
}

// begin puts all families of up to so many colours into the queue.
func (f *finder) begin(colours int) {
	for k := 1; k <= min(colours, maxColours); k++ {
		f.start(family{k, true})
		f.start(family{k, false})
	}
}

// next gives the best choice that was not given before, and opens no more tuples than it
// takes to know it; false where it has given as many as are to be found, or there is none.
// It fails only where the context ends first.
func (f *finder) next(ctx context.Context) (found, bool, error) {
	for f.given < f.top && len(f.queue) > 0 &&
		(f.given == len(f.best) || f.queue[0].before(&f.best[f.given].place)) {
		t := heap.Pop(&f.queue).(tuple)
		if !f.betters(t) {
			f.queue = nil
			break
		}
		if f.opened++; f.opened%between == 0 && ctx.Err() != nil {
			return found{}, false, ctx.Err()
		}
		f.open(t)
	}
	if f.given == len(f.best) {
		return found{}, false, nil
	}
	f.given++
	return f.best[f.given-1], true, nil
}

// start puts a whole family into the queue.
func (f *finder) start(y family) {
	t := tuple{family: y}
	empty := len(f.warps.nodes) == 0 || y.own && len(f.both.nodes) == 0 || !y.own &&
		len(f.wefts.nodes) == 0
	if !empty {
		f.push(t)
	}
}

// treeOf is the tree that the i-th node of a tuple of a family is of.
func (f *finder) treeOf(y family, i int) *tree {
	switch {
	case y.own && i == 0:
		return f.both
	case i < y.colours:
		return f.warps
	}
	return f.wefts
}

// boxes are the nodes of a tuple in their parts.
func (f *finder) boxes(t *tuple, into []box) []box {
	for i := range t.family.lots() {
		n := &f.treeOf(t.family, i).nodes[t.nodes[i]]
		switch {
		case t.family.own && i == 0:
			into = append(into, box{n, &f.bothWeft.nodes[t.nodes[i]]})
		case i < t.family.colours:
			into = append(into, box{warp: n})
		default:
			into = append(into, box{weft: n})
		}
	}
	return into
}

// push bounds a tuple and queues it, unless it can't be among the best.
func (f *finder) push(t tuple) {
	var room [maxColours + 1]box
	boxes := f.boxes(&t, room[:0])
	if !usable(boxes) {
		return
	}
	t.bound = f.bounder.best(t.family, boxes)
	if t.bound < 0 {
		return
	}
	f.rank(&t)
	if f.betters(t) {
		heap.Push(&f.queue, t)
	}
}

// betters says whether a tuple may hold one of the best, better by enough to matter.
func (f *finder) betters(t tuple) bool {
	if len(f.best) < f.top {
		return true
	}
	t.bound -= 1000 * f.judge.query.Near
	return t.before(&f.best[f.top-1].place)
}

// usable says whether every lot may serve and one that is asked for takes part.
func usable(boxes []box) bool {
	if slices.ContainsFunc(boxes, func(b box) bool {
		return b.warp != nil && b.warp.out || b.weft != nil && b.weft.out
	}) {
		return false
	}
	return slices.ContainsFunc(boxes, func(b box) bool {
		return b.warp != nil && b.warp.using ||
			b.weft != nil && b.weft.using
	})
}

// rank fills in the least ranks of a tuple.
func (f *finder) rank(t *tuple) {
	k := t.family.colours
	for i := range k {
		t.ranks[i] = f.treeOf(t.family, i).nodes[t.nodes[i]].minRank
	}
	weft := t.ranks[0]
	if !t.family.own {
		weft = f.wefts.nodes[t.nodes[k]].minRank
	}
	slices.Sort(t.ranks[:k])
	t.ranks[k] = weft
}

// open divides the fullest node of a tuple, or reckons the choice through.
func (f *finder) open(t tuple) {
	fullest, most := -1, int32(1)
	for i := range t.family.lots() {
		if n := f.treeOf(t.family, i).nodes[t.nodes[i]].count; n > most {
			fullest, most = i, n
		}
	}
	if fullest < 0 {
		f.look(t)
		return
	}
	divided := f.treeOf(t.family, fullest)
	divided.open(t.nodes[fullest], f.gathering.bundles.stacks)
	if divided == f.both {
		f.bothWeft.open(t.nodes[fullest], f.gathering.bundles.stacks)
	}
	n := divided.nodes[t.nodes[fullest]]
	first, last := f.twins(t, fullest)
	// Warps of one tree stand for each other: m times the same node opens into
	// every way of sharing m among its children, in order.
	for left := 0; left <= last-first+1; left++ {
		next := t
		for i := first; i <= last; i++ {
			next.nodes[i] = n.right
			if i-first < left {
				next.nodes[i] = n.left
			}
		}
		f.push(next)
	}
}

// twins is the run of equal warp nodes that position i is in.
func (f *finder) twins(t tuple, i int) (first, last int) {
	first, last = i, i
	begin := 0
	if t.family.own {
		begin = 1
	}
	if i < begin || i >= t.family.colours {
		return first, last
	}
	for first > begin && t.nodes[first-1] == t.nodes[i] {
		first--
	}
	for last+1 < t.family.colours && t.nodes[last+1] == t.nodes[i] {
		last++
	}
	return first, last
}

// look reckons a tuple of single lots through and keeps it if it is among the
// best.
func (f *finder) look(t tuple) {
	c, ok := f.choiceOf(t)
	if !ok {
		return
	}
	f.looked++
	one, ok := f.reckon(c, t)
	if !ok || len(f.best) == f.top && !one.place.before(&f.best[f.top-1].place) ||
		!f.pairs.allowed(c) {
		return
	}
	at, _ := slices.BinarySearchFunc(f.best, one, func(a, b found) int {
		if a.place.before(&b.place) {
			return -1
		}
		return 1
	})
	f.best = slices.Insert(f.best, max(at, f.given), one)
	f.best = f.best[:min(len(f.best), f.top)]
}

// reckon scores a choice; false where no size of it would do.
func (f *finder) reckon(c choice, t tuple) (found, bool) {
	scale, trial := f.judge.scaled(c)
	if scale == 0 {
		return found{}, false
	}
	at := f.judge.sizeAt(scale)
	p := f.judge.parts(c, at, trial)
	t.bound = f.judge.query.Weights.score(p)
	return found{c, at, trial, p, t}, true
}

// choiceOf is the choice that a tuple of single lots stands for; false where a
// lot stands in it twice or two colours are one.
func (f *finder) choiceOf(t tuple) (choice, bool) {
	var c choice
	for i := range t.family.colours {
		tr := f.treeOf(t.family, i)
		c.warp = append(c.warp, f.lotIn(tr, t.nodes[i]))
	}
	c.weft = c.warp[0]
	if !t.family.own {
		c.weft = f.lotIn(f.wefts, t.nodes[t.family.colours])
	}
	slices.SortFunc(c.warp, func(a, b *lot) int { return a.rank - b.rank })
	return c, f.sound(c, t.family)
}

// lotIn is the lot that a node of a single one is.
func (f *finder) lotIn(t *tree, at int32) *lot {
	return f.gathering.lot(f.gathering.bundles.stacks[t.nodes[at].stack].bundle)
}

func (f *finder) sound(c choice, y family) bool {
	if !y.own && slices.Contains(c.warp, c.weft) {
		return false
	}
	for i := range c.warp {
		for _, other := range c.warp[:i] {
			if other.colour == c.warp[i].colour {
				return false
			}
		}
	}
	return true
}
