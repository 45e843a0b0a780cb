package search

import (
	"math"

	"endsmeet/planner"
	"endsmeet/stash/measure"
)

// slack covers what rounding to whole ends, picks and millimetres may take off
// a need.
const slack = 1.002

// scales hold the extremes of all lots that bounds for one of them rest on.
type scales struct {
	least  float64 // the least of the wefts' factors
	loose  float64 // the least sett, ends for each mm
	modulo float64 // ends that rounding up may add
	sigma  float64 // the least scale that would do
}

// lengthen is a warp's factor: tape for each finished length.
func (j *judge) lengthen(f *figures) float64 {
	if j.query.Kind.Rag {
		return 1 // rags go by area
	}
	return f.losses.Lengthening()
}

func (j *judge) scales(g *gathering) scales {
	s := scales{least: math.Inf(1), loose: math.Inf(1), sigma: float64(j.least) / 1000}
	s.modulo = float64(max(1, j.base.Ends.Modulus) + j.base.Ends.Floats + 2)
	for at := range g.wares {
		w := &g.wares[at]
		if w.figures == nil || !w.figures.ok || g.bundles.roots[g.stock.yarns[at].sort] < 0 {
			continue
		}
		if w.asWeft {
			s.least = min(s.least, w.figures.losses.Widening())
		}
		if w.asWarp {
			s.loose = min(s.loose, w.figures.sett.PerMM())
		}
	}
	return s
}

// strands is how many yarns run together as one end.
func (j *judge) strands() float64 { return float64(max(1, j.base.Ends.Strands)) }

// item is yarn of some figures in one part, with what bounds need to know of it at
// the wanted size. Lengths are in mm, yarn is in mm of it.
type item struct {
	// factor is what the other part multiplies its need by: for a warp the tape
	// for each finished length, for a weft the reed width for each finished width.
	factor float64
	// use1·f + use0 is the most that it takes, f being the other's factor.
	use1, use0 float64
	// supply·f is the least that the wanted area takes of a weft.
	supply float64
	// sett in ends for each mm and end of a warp, and how the end goes with the length.
	sett, end float64
	line      planner.WarpLine
}

// warpItem is what lots of some figures are as warp; ok is false where the losses
// make no sense.
func (j *judge) warpItem(l *lot, s scales) (it item, ok bool) {
	spec := j.spec(choice{[]*lot{l}, l}, j.sizeAt(1000))
	line, err := spec.WarpLine()
	if err != nil {
		return it, false
	}
	end := float64(line.End(spec.Size.Length))
	width, sett := float64(spec.Size.Width), l.figures.sett.PerMM()
	return item{line: line, factor: j.lengthen(l.figures), sett: sett, end: end,
		use1: width * sett * end * j.strands(), use0: s.modulo * end * j.strands()}, true
}

// weftItem is what lots of some figures are as weft.
func (j *judge) weftItem(l *lot, s scales) item {
	spec := j.spec(choice{[]*lot{l}, l}, j.sizeAt(1000))
	least, most, fixed := j.weftRange(spec, l, s)
	return item{factor: l.figures.losses.Widening(), use1: most, use0: fixed, supply: least}
}

// areaOfWarp bounds the area that a warp allows with the weft that draws in and
// shrinks least, 0 where not even the least size fits.
func (j *judge) areaOfWarp(l *lot, line planner.WarpLine, s scales) float64 {
	fits := func(scale int) bool {
		at := j.sizeAt(scale)
		ends := float64(at.width)*l.figures.sett.PerMM()*s.least/slack - 2
		return float64(j.capacity(l, line.End(at.length))) >= ends
	}
	if fits(1000) {
		return 1
	}
	lo, hi := j.least-1, 1000
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; fits(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	if lo < j.least {
		return 0
	}
	return float64(lo) * float64(lo) / 1e6
}

// areaOfWeft bounds the area that so much weft allows, before the warp's factor.
func (it *item) areaOfWeft(join float64) float64 {
	if it.supply > 0 {
		return join / it.supply
	}
	return math.Inf(1)
}

// weftRange bounds the weft at the wanted size for each unit of the warp's
// factor, in mm, and what comes on top: that of the narrowest and of the widest web
// that rounding to whole groups of ends may give, as the planner reckons both.
func (j *judge) weftRange(spec planner.Spec, l *lot, s scales) (least, most, fixed float64) {
	width := float64(spec.Size.Width)
	more := s.modulo / s.loose
	if j.query.Kind.Rag {
		rags := func(w float64) float64 { return float64(spec.RagsFor(measure.Length(w))) / l.tex }
		return rags(width) / slack, 0, rags(width+more+1)*slack + 1
	}
	web := width * spec.Losses.Damp()
	spec.Losses.Stretch, spec.Losses.WetLength = 0, 0 // the warp's factor
	low := spec.WeftAcross(measure.Length(max(0, web-1/(s.loose*s.sigma))))
	high := spec.WeftAcross(measure.Length(web + more + 1))
	long := float64(spec.Size.Length)
	least, most = low.NeedFloat(long)-float64(low.Fixed()),
		high.NeedFloat(long)-float64(high.Fixed())
	return least / slack, most * slack, float64(high.Fixed()+high.PerPick()+2) * slack
}
