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

func (j *judge) scales(lots []*lot) scales {
	s := scales{least: math.Inf(1), loose: math.Inf(1), sigma: float64(j.least) / 1000}
	s.modulo = float64(max(1, j.base.Ends.Modulus) + j.base.Ends.Floats + 2)
	for _, l := range lots {
		if l.asWeft {
			s.least = min(s.least, l.figures.losses.Widening())
		}
		if l.asWarp {
			s.loose = min(s.loose, l.figures.sett.PerMM())
		}
	}
	return s
}

// strands is how many yarns run together as one end.
func (j *judge) strands() float64 { return float64(max(1, j.base.Ends.Strands)) }

// warpItem is a lot as warp; ok is false where its own losses make no sense, or
// where it is too short alone and there is to be one colour only.
func (j *judge) warpItem(l *lot, s scales) (it item, ok bool) {
	spec := j.spec(choice{[]*lot{l}, l}, j.sizeAt(1000))
	line, err := spec.WarpLine()
	if err != nil {
		return it, false
	}
	end := float64(line.End(spec.Size.Length))
	width, sett := float64(spec.Size.Width), l.figures.sett.PerMM()
	it = item{
		lot: l, factor: j.lengthen(l.figures), sett: sett, end: end, tex: l.tex,
		supply: math.Inf(1),
		use1:   width * sett * end * j.strands() * l.tex,
		use0:   s.modulo * end * j.strands() * l.tex,
	}
	it.area = j.areaOfWarp(l, line, s)
	return it, it.area > 0 || j.query.colours() > 1 && l.low > 0
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

// weftItem is a lot as weft.
func (j *judge) weftItem(l *lot, s scales) (it item, ok bool) {
	spec := j.spec(choice{[]*lot{l}, l}, j.sizeAt(1000))
	it = item{lot: l, factor: l.figures.losses.Widening(), tex: l.tex, area: 1}
	least, most, fixed := j.weftRange(spec, l, s)
	it.use1, it.use0 = most*l.tex, fixed*l.tex
	if least > 0 {
		it.supply = float64(l.join) / least
	} else {
		it.supply = math.Inf(1)
	}
	return it, l.join > 0
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
