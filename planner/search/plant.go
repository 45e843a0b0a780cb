package search

import "math"

// plant sorts the yarns of a gathering into trees, those of a sort together.
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
	f.sorts = f.sortsOf(g)
	var warps, wefts, both []node
	for i, root := range g.bundles.roots {
		sort := &f.sorts[i]
		if sort.asWarp {
			warps = append(warps, f.warpBox(int32(i), root))
		}
		if sort.asWeft {
			wefts = append(wefts, f.weftBox(int32(i), root))
		}
		if sort.asWarp && sort.asWeft {
			both = append(both, warps[len(warps)-1])
		}
	}
	f.warps, f.wefts = newTree(warps, f.warpBox), newTree(wefts, f.weftBox)
	f.both = newTree(both, f.warpBox)
	f.bothWeft = f.both.twin(f.weftBox)
}

// sort is yarns alike in what bounds need of them, in either part.
type sort struct {
	asWarp, asWeft bool // some of it may be
	tex            float64
	warp, weft     item
}

// sortsOf are the sorts of a gathering, by their places in the stock.
func (f *finder) sortsOf(g *gathering) []sort {
	out := make([]sort, len(g.bundles.roots))
	for at := range g.wares {
		w, i := &g.wares[at], g.stock.yarns[at].sort
		if w.figures == nil || !w.figures.ok || g.bundles.roots[i] < 0 {
			continue
		}
		s := &out[i]
		l := &lot{bundle: g.bundles.some(i), figures: w.figures}
		s.tex = l.tex
		if w.asWarp && !s.asWarp {
			s.warp, s.asWarp = f.judge.warpItem(l, f.scales)
		}
		if w.asWeft && !s.asWeft {
			s.weft, s.asWeft = f.judge.weftItem(l, f.scales), true
		}
	}
	return out
}

// some is one of the bundles of a sort.
func (b *bundles) some(sort int32) *bundle {
	s := &b.stacks[b.roots[sort]]
	for s.bundle == nil {
		s = &b.stacks[s.left]
	}
	return s.bundle
}

// sortOf is the sort that a lot is of.
func (f *finder) sortOf(l *lot) *sort { return &f.sorts[f.gathering.stock.yarns[l.at].sort] }

// boxOf is what both parts know of the lots in a stack.
func (f *finder) boxOf(i, at int32) (n node, single *lot) {
	s, tex := &f.gathering.bundles.stacks[at], f.sorts[i].tex
	n = node{count: s.count, stack: at, sort: i, minRank: s.minRank, using: s.using,
		mass: span{s.length.min * tex, s.length.max * tex}, length: s.low, low: s.low * tex,
		lowPart: s.part, tex: tex}
	if s.bundle != nil {
		single = f.gathering.lot(s.bundle)
	}
	return n, single
}

// take fills in what an item takes of the lots of a node.
func (n *node) take(it *item) {
	n.factor = point(it.factor)
	n.use1, n.use0 = it.use1*n.tex, it.use0*n.tex
	n.part1, n.part0 = n.use1/n.mass.min, n.use0/n.mass.min
}

// warpBox bounds lots of a sort as warp.
func (f *finder) warpBox(i, at int32) node {
	n, single := f.boxOf(i, at)
	it := &f.sorts[i].warp
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

// weftBox bounds lots of a sort as weft.
func (f *finder) weftBox(i, at int32) node {
	n, single := f.boxOf(i, at)
	it := &f.sorts[i].weft
	n.take(it)
	n.area = 1
	n.supply = it.areaOfWeft(f.gathering.bundles.stacks[at].join)
	n.out = n.count == 1 && (single == nil || !single.asWeft || single.join == 0)
	return n
}
