package search

import "math"

// maxColours is the most colours that a warp is searched for.
const maxColours = 8

// family is a form of choice: so many colours in the warp, and a weft of its own
// or, with own, out of the lot of one of them.
type family struct {
	colours int
	own     bool
}

// lots is how many lots a choice of the family takes.
func (f family) lots() int {
	if f.own {
		return f.colours
	}
	return f.colours + 1
}

// box is a node in a part: as warp, as weft, or with own as both.
type box struct {
	warp, weft *node
}

// bounder bounds scores of tuples of boxes.
type bounder struct {
	weights Weights
	width   float64 // finished, mm
	strands float64
	modulo  float64
	sigma   float64
	least   float64 // the least area share that would do
}

// best is a score, in millionths, that no choice out of the boxes can beat;
// −1 where none of them would do.
func (b bounder) best(f family, boxes []box) int {
	area, reed, tape := b.area(boxes)
	if area < b.least {
		return -1
	}
	p := Parts{Size: min(1, area), Use: b.use(boxes, reed, tape), Rest: 1,
		Lots: 1 / float64(f.lots())}
	return b.weights.score(p)
}

// area bounds the area offered, as a share of that wanted, and gives the ranges
// of the factors of weft and warp.
func (b bounder) area(boxes []box) (area float64, reed, tape span) {
	reed, tape = span{math.Inf(1), 0}, span{math.Inf(1), 0}
	var weft *node
	var sett, length float64
	end := math.Inf(1)
	warps := 0
	area = 1
	for _, x := range boxes {
		if x.weft != nil {
			weft, reed = x.weft, reed.with(x.weft.factor)
		}
		if x.warp != nil {
			warps++
			tape = tape.with(x.warp.factor)
			sett += x.warp.sett.min
			end = min(end, x.warp.end.min)
			length += x.warp.length
			area = min(area, x.warp.area)
		}
	}
	if warps > 1 {
		area = 1 // each carries part of the ends only
	}
	ends := b.width*reed.min*sett/float64(warps)/slack - 2/b.sigma
	if need := ends * end * b.strands; need > 0 {
		area = min(area, length/need)
	}
	return min(area, weft.supply/tape.min), reed, tape
}

// part is what one lot can be used of: at most most, at most share of its mass.
type part struct {
	most, share float64
	mass        span
}

// use bounds the share of the lots that is used.
func (b bounder) use(boxes []box, reed, tape span) float64 {
	var parts [maxColours + 1]part
	ps := parts[:0]
	striped := len(boxes) > 2 || len(boxes) == 2 && boxes[0].warp != nil && boxes[1].warp != nil
	for _, x := range boxes {
		var p part
		low, lowPart := 0.0, 0.0
		if n := x.warp; n != nil {
			p.mass, low, lowPart = n.mass, n.low, n.lowPart
			p.most, p.share = n.use1*reed.max+n.use0, n.part1*reed.max+n.part0
			if striped {
				p.most, p.share = n.mass.max, 1
			}
		}
		if n := x.weft; n != nil {
			p.mass, low, lowPart = n.mass, n.low, n.lowPart
			p.most += n.use1*tape.max + n.use0
			p.share += n.part1*tape.max + n.part0
		}
		p.most, p.share = min(p.most, low), min(p.share, lowPart)
		ps = append(ps, p)
	}
	u := min(sumBound(ps), shareBound(ps))
	if striped {
		u = min(u, b.stripesBound(boxes, reed, tape))
	}
	return u
}

// sumBound is the most used over the least there.
func sumBound(ps []part) float64 {
	var used, mass float64
	for _, p := range ps {
		used += p.most
		mass += p.mass.min
	}
	return min(1, used/mass)
}

// shareBound is the greatest mean of the shares, weighted by masses in their
// ranges: the greater shares take their greatest mass, the others their least.
func shareBound(ps []part) float64 {
	best := 0.0
	for _, cut := range ps {
		var used, mass float64
		for _, p := range ps {
			m := p.mass.min
			if p.share >= cut.share {
				m = p.mass.max
			}
			used += p.share * m
			mass += m
		}
		best = max(best, used/mass)
	}
	return best
}

// stripesBound is sumBound for a warp of several colours: no matter how they
// share the ends, together they take no more than all ends of the heaviest.
func (b bounder) stripesBound(boxes []box, reed, tape span) float64 {
	var sett, end, tex, weft, mass float64
	warps := 0.0
	for _, x := range boxes {
		if n := x.warp; n != nil {
			warps++
			sett, end, tex = sett+n.sett.max, max(end, n.end.max), max(tex, n.tex)
			mass += n.mass.min
		}
		if n := x.weft; n != nil {
			weft = min(n.use1*tape.max+n.use0, n.low)
			if x.warp == nil {
				mass += n.mass.min
			}
		}
	}
	ends := b.width*reed.max*sett/warps + b.modulo + 2*warps
	return min(1, (ends*end*tex*b.strands+weft)/mass)
}
