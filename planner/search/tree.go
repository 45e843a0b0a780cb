package search

import "math"

// node is a box of lots in one part. Yarn is in mg, lengths in mm.
type node struct {
	count       int32
	left, right int32 // its halves, 0 for a single lot or one not opened yet
	stack       int32 // what it is of; -1 where it is of several sorts
	sort        int32
	// out says that a single lot can't serve in this part at all.
	out     bool
	minRank int32
	using   bool // some of it is asked for
	mass    span
	factor  span
	length  float64 // greatest low length
	low     float64 // greatest low length by mass, which is all that can be used
	lowPart float64 // greatest share of the mass that this is
	// use1·f + use0 is the most that is taken, f being the other part's factor.
	use1, use0 float64 // greatest
	part1      float64 // greatest use1/mass, use0/mass
	part0      float64
	// supply/f bounds the area that the weft allows, as a share of that wanted; area
	// that which the warp allows.
	supply    float64
	area      float64
	sett, end span
	tex       float64
}

// span is a range.
type span struct{ min, max float64 }

func (s span) with(t span) span { return span{min(s.min, t.min), max(s.max, t.max)} }

func point(v float64) span { return span{v, v} }

// tree is a binary tree over sorts of yarn, and where it was opened over their lots; node 0
// is its root.
type tree struct {
	nodes []node
	box   func(sort, stack int32) node
	whole []node           // of each sort, while it is built
	at    [][sides]float64 // the coordinates of the sorts, while it is built
}

// newTree sets sorts into boxes, halving the widest side of each.
func newTree(whole []node, box func(sort, stack int32) node) *tree {
	t := &tree{box: box, whole: whole}
	if len(whole) == 0 {
		return t
	}
	t.nodes = make([]node, 0, 2*len(whole))
	t.at = make([][sides]float64, len(whole))
	all := make([]int32, len(whole))
	for i := range all {
		all[i], t.at[i] = int32(i), whole[i].coordinates()
	}
	t.build(all)
	t.whole, t.at = nil, nil
	return t
}

func (t *tree) build(members []int32) int32 {
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{})
	if len(members) == 1 {
		t.nodes[at] = t.whole[members[0]]
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

// open gives the lots of one sort in a node their halves.
func (t *tree) open(at int32, stacks []stack) {
	n := t.nodes[at]
	if n.left != 0 || n.count == 1 {
		return
	}
	s := &stacks[n.stack]
	t.nodes[at].left, t.nodes[at].right = int32(len(t.nodes)), int32(len(t.nodes)+1)
	t.nodes = append(t.nodes, t.box(n.sort, s.left), t.box(n.sort, s.right))
}

// twin is a tree of the same shape over other boxes for the same lots.
func (t *tree) twin(box func(sort, stack int32) node) *tree {
	out := &tree{box: box, nodes: make([]node, len(t.nodes))}
	for i := len(t.nodes) - 1; i >= 0; i-- {
		n := &t.nodes[i]
		if n.left == 0 {
			out.nodes[i] = box(n.sort, n.stack)
			continue
		}
		out.nodes[i] = out.nodes[n.left].with(&out.nodes[n.right])
		out.nodes[i].left, out.nodes[i].right = n.left, n.right
	}
	return out
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

// with is the box around two.
func (n *node) with(o *node) node {
	return node{
		stack: -1, count: n.count + o.count, minRank: min(n.minRank, o.minRank), using: n.using || o.using,
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

// coordinates place a box of one sort. Each is scaled so that a unit matters about
// alike to a score.
func (n *node) coordinates() [sides]float64 {
	m := n.mass.max
	return [sides]float64{math.Log(m), 4 * min(1, (n.use1+n.use0)/m), 3 * min(1.5, n.area),
		3 * min(1.5, n.supply), 2 * n.factor.min}
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
