package search

import "math"

// plant sorts the yarns of a gathering into trees.
func (f *finder) plant() {
	j, g := f.judge, f.gathering
	s := j.scales(g)
	size := j.sizeAt(1000)
	f.scales = s
	f.bounder = bounder{
		weights: j.query.Weights, width: float64(size.width), strands: j.strands(),
		modulo: s.modulo, sigma: s.sigma,
		least: s.sigma * s.sigma / slack,
	}
	f.items = map[*figures]*inParts{}
	var warps, wefts, both []node
	for yarn, root := range g.bundles.roots {
		w := &g.wares[yarn]
		if root < 0 || w.figures == nil || !w.figures.ok {
			continue
		}
		asWarp := w.asWarp && f.itemsOf(yarn).warps
		if asWarp {
			warps = append(warps, f.warpBox(int32(yarn), root))
		}
		if w.asWeft {
			wefts = append(wefts, f.weftBox(int32(yarn), root))
		}
		if asWarp && w.asWeft {
			both = append(both, warps[len(warps)-1])
		}
	}
	f.warps, f.wefts = newTree(warps, f.warpBox), newTree(wefts, f.weftBox)
	f.both = newTree(both, f.warpBox)
	f.bothWeft = f.both.twin(f.weftBox)
}

// inParts is yarn of some figures in both parts; warps says that it makes a warp.
type inParts struct {
	warp, weft item
	warps      bool
}

// itemsOf is what a yarn is in either part, worked out once for all of a sort.
func (f *finder) itemsOf(yarn int) *inParts {
	w := &f.gathering.wares[yarn]
	known := f.items[w.figures]
	if known == nil {
		some := f.gathering.bundles.some(int32(yarn))
		l := &lot{bundle: some, figures: w.figures}
		known = &inParts{}
		known.warp, known.warps = f.judge.warpItem(l, f.scales)
		if w.asWeft {
			known.weft = f.judge.weftItem(l, f.scales)
		}
		f.items[w.figures] = known
	}
	return known
}

// some is one of the bundles of a yarn.
func (b *bundles) some(yarn int32) *bundle {
	s := &b.stacks[b.roots[yarn]]
	for s.bundle == nil {
		s = &b.stacks[s.left]
	}
	return s.bundle
}

// boxOf is what both parts know of the lots in a stack.
func (f *finder) boxOf(yarn, at int32) (n node, it *inParts, single *lot) {
	s := &f.gathering.bundles.stacks[at]
	tex := f.gathering.bundles.some(yarn).tex
	n = node{count: s.count, stack: at, yarn: yarn, minRank: s.minRank, using: s.using,
		mass: span{s.length.min * tex, s.length.max * tex}, length: s.low, low: s.low * tex,
		lowPart: s.part, tex: tex}
	if s.bundle != nil {
		single = f.gathering.lot(s.bundle)
	}
	return n, f.itemsOf(int(yarn)), single
}

// take fills in what an item takes of the lots of a node.
func (n *node) take(it *item) {
	n.factor = point(it.factor)
	n.use1, n.use0 = it.use1*n.tex, it.use0*n.tex
	n.part1, n.part0 = n.use1/n.mass.min, n.use0/n.mass.min
}

// warpBox bounds lots of a yarn as warp.
func (f *finder) warpBox(yarn, at int32) node {
	n, in, single := f.boxOf(yarn, at)
	it := &in.warp
	n.take(it)
	n.sett, n.end, n.supply, n.area = point(it.sett), point(it.end), math.Inf(1), 1
	if n.count == 1 {
		n.out = single == nil || !single.asWarp
		if !n.out {
			n.area = f.judge.areaOfWarp(single, it.line, f.scales)
			n.out = n.area == 0 && (f.judge.query.colours() == 1 || single.low == 0)
		}
	}
	return n
}

// weftBox bounds lots of a yarn as weft.
func (f *finder) weftBox(yarn, at int32) node {
	n, in, single := f.boxOf(yarn, at)
	n.take(&in.weft)
	n.area = 1
	n.supply = in.weft.areaOfWeft(f.gathering.bundles.stacks[at].join)
	n.out = n.count == 1 && (single == nil || !single.asWeft || single.join == 0)
	return n
}
