package search

import "math"

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
	low         float64 // greatest low length by mass, which is all that can be used
	lowPart     float64 // greatest share of the mass that this is
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
	at    [][sides]float64 // the coordinates of the items, while it is built
}

// newTree sorts items into boxes, halving the widest side of each.
func newTree(items []item, using func(*lot) bool) *tree {
	t := &tree{items: items, using: using}
	if len(items) == 0 {
		return t
	}
	t.nodes = make([]node, 0, 2*len(items))
	t.at = make([][sides]float64, len(items))
	all := make([]int32, len(items))
	for i := range all {
		all[i], t.at[i] = int32(i), t.items[i].coordinates()
	}
	t.build(all)
	t.at = nil
	return t
}

func (t *tree) build(members []int32) int32 {
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{})
	if len(members) == 1 {
		t.nodes[at] = t.leaf(members[0])
		return at
	}
	middle := len(members) / 2
	t.halve(members, middle, t.widest(members))
	left := t.build(members[:middle])
	right := t.build(members[middle:])
	t.nodes[at] = t.nodes[left].with(&t.nodes[right])
	t.nodes[at].left, t.nodes[at].right = left, right
	return at
}

// halve puts the members that lie lower along a side before the middle, equal
// ones by their place in the list.
func (t *tree) halve(members []int32, middle, side int) {
	less := func(a, b int32) bool {
		x, y := t.at[a][side], t.at[b][side]
		return x < y || x == y && a < b
	}
	for lo, hi := 0, len(members)-1; lo < hi; {
		pivot := members[lo+(hi-lo)/2]
		i, j := lo, hi
		for i <= j {
			for less(members[i], pivot) {
				i++
			}
			for less(pivot, members[j]) {
				j--
			}
			if i <= j {
				members[i], members[j] = members[j], members[i]
				i++
				j--
			}
		}
		switch {
		case middle <= j:
			hi = j
		case middle >= i:
			lo = i
		default:
			return
		}
	}
}

func (t *tree) leaf(i int32) node {
	it := &t.items[i]
	m := it.lot.mass()
	return node{
		count: 1, left: -1, right: -1, at: i, minRank: int32(it.lot.rank), using: t.using == nil ||
			t.using(it.lot),
		mass: point(m), factor: point(it.factor), length: float64(it.lot.low),
		low: float64(it.lot.low) * it.tex, lowPart: float64(it.lot.low) / float64(it.lot.length),
		use1: it.use1, use0: it.use0,
		part1: it.use1 / m, part0: it.use0 / m, supply: it.supply, area: it.area,
		sett: point(it.sett), end: point(it.end), tex: it.tex,
	}
}

// with is the box around two.
func (n *node) with(o *node) node {
	return node{
		count: n.count + o.count, minRank: min(n.minRank, o.minRank), using: n.using || o.using,
		mass: n.mass.with(o.mass), factor: n.factor.with(o.factor),
		length: max(n.length, o.length), low: max(n.low, o.low), lowPart: max(n.lowPart, o.lowPart),
		use1: max(n.use1, o.use1), use0: max(n.use0, o.use0), part1: max(n.part1, o.part1),
		part0:  max(n.part0, o.part0),
		supply: max(n.supply, o.supply), area: max(n.area, o.area), sett: n.sett.with(o.sett),
		end: n.end.with(o.end), tex: max(n.tex, o.tex),
	}
}

// sides is how many coordinates boxes are halved along.
const sides = 5

// coordinates place an item. Each is scaled so that a unit matters about alike
// to a score.
func (it *item) coordinates() [sides]float64 {
	m := it.lot.mass()
	return [sides]float64{math.Log(m), 4 * min(1, (it.use1+it.use0)/m), 3 * min(1.5, it.area),
		3 * min(1.5, it.supply), 2 * it.factor}
}

// widest is the side along which members lie furthest apart.
func (t *tree) widest(members []int32) int {
	lo, hi := t.at[members[0]], t.at[members[0]]
	for _, i := range members[1:] {
		for side, v := range t.at[i] {
			lo[side], hi[side] = min(lo[side], v), max(hi[side], v)
		}
	}
	best := 0
	for side := range sides {
		if hi[side]-lo[side] > hi[best]-lo[best] {
			best = side
		}
	}
	return best
}
