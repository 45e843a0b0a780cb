package search

import (
	"math"
	"slices"
)

// item is a lot in one part, with what bounds need to know of it at the wanted
// size. Yarn is in mg, lengths in mm.
type item struct {
	lot *lot
	// factor is what the other part multiplies its need by: for a warp the tape
	// for each finished length, for a weft the reed width for each finished width.
	factor float64
	// use1·f + use0 is the most that it takes, f being the other's factor.
	use1, use0 float64
	// supply/f bounds the area that the weft allows, as a share of that wanted.
	supply float64
	// area bounds the area that the warp allows.
	area float64
	// sett in ends for each mm, end and tex of a warp.
	sett, end, tex float64
}

// node is a box of items.
type node struct {
	count       int32
	left, right int32 // children; none for a leaf
	at          int32 // the item of a leaf
	minRank     int32
	using       bool // some item is of a yarn that is asked for
	mass        span
	factor      span
	length      float64 // greatest low length
	use1, use0  float64 // greatest
	part1       float64 // greatest use1/mass, use0/mass
	part0       float64
	supply      float64
	area        float64
	sett, end   span
	tex         float64
}

// span is a range.
type span struct{ min, max float64 }

func (s span) with(t span) span { return span{min(s.min, t.min), max(s.max, t.max)} }

func point(v float64) span { return span{v, v} }

// tree is a binary tree over items; node 0 is its root.
type tree struct {
	items []item
	nodes []node
	using func(*lot) bool
}

// newTree sorts items into boxes, halving the widest side of each.
func newTree(items []item, using func(*lot) bool) *tree {
	t := &tree{items: items, using: using}
	if len(items) == 0 {
		return t
	}
	t.nodes = make([]node, 0, 2*len(items))
	all := make([]int32, len(items))
	for i := range all {
		all[i] = int32(i)
	}
	t.build(all)
	return t
}

func (t *tree) build(members []int32) int32 {
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{})
	if len(members) == 1 {
		t.nodes[at] = t.leaf(members[0])
		return at
	}
	side := t.widest(members)
	middle := len(members) / 2
	slices.SortFunc(members, func(a, b int32) int {
		x, y := t.coordinate(a, side), t.coordinate(b, side)
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return t.items[a].lot.rank - t.items[b].lot.rank
	})
	left := t.build(members[:middle])
	right := t.build(members[middle:])
	t.nodes[at] = t.nodes[left].with(t.nodes[right])
	t.nodes[at].left, t.nodes[at].right = left, right
	return at
}

func (t *tree) leaf(i int32) node {
	it := &t.items[i]
	m := it.lot.mass()
	return node{
		count: 1, left: -1, right: -1, at: i, minRank: int32(it.lot.rank), using: t.using == nil || t.using(it.lot),
		mass: point(m), factor: point(it.factor), length: float64(it.lot.low), use1: it.use1, use0: it.use0,
		part1: it.use1 / m, part0: it.use0 / m, supply: it.supply, area: it.area, sett: point(it.sett), end: point(it.end), tex: it.tex,
	}
}

// with is the box around two.
func (n node) with(o node) node {
	return node{
		count: n.count + o.count, minRank: min(n.minRank, o.minRank), using: n.using || o.using, mass: n.mass.with(o.mass), factor: n.factor.with(o.factor),
		length: max(n.length, o.length), use1: max(n.use1, o.use1), use0: max(n.use0, o.use0), part1: max(n.part1, o.part1), part0: max(n.part0, o.part0),
		supply: max(n.supply, o.supply), area: max(n.area, o.area), sett: n.sett.with(o.sett), end: n.end.with(o.end), tex: max(n.tex, o.tex),
	}
}

// sides is how many coordinates boxes are halved along.
const sides = 5

// coordinate places an item along a side. Each is scaled so that a unit matters
// about alike to a score.
func (t *tree) coordinate(i int32, side int) float64 {
	it := &t.items[i]
	switch side {
	case 0:
		return math.Log(it.lot.mass())
	case 1:
		return 4 * min(1, (it.use1+it.use0)/it.lot.mass())
	case 2:
		return 3 * min(1.5, it.area)
	case 3:
		return 3 * min(1.5, it.supply)
	default:
		return 2 * it.factor
	}
}

// widest is the side along which members lie furthest apart.
func (t *tree) widest(members []int32) int {
	best, width := 0, -1.0
	for side := range sides {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, i := range members {
			v := t.coordinate(i, side)
			lo, hi = min(lo, v), max(hi, v)
		}
		if hi-lo > width {
			best, width = side, hi-lo
		}
	}
	return best
}
