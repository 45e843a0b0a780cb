package search

import (
	"math"
	"slices"

	"endsmeet/stash/measure"
)

// area is that of a size as a share of the one wanted.
func (j *judge) area(at size) float64 {
	f := j.query.Kind.Facts
	return float64(at.width) * float64(at.length) / (float64(f.Width) * float64(f.Length))
}

// scaleOf is what a size is of the one wanted, along a side, in thousandths.
func (j *judge) scaleOf(at size) int { return int(1000*math.Sqrt(j.area(at)) + 1e-6) }

// scaleFrom is the least thousandths at which the shape wanted is as large as a size of it.
func (j *judge) scaleFrom(at size) int {
	scale := max(j.least, j.scaleOf(at)-1)
	for s := j.sizeAt(scale); scale < 1000 && (s.width < at.width || s.length < at.length); {
		scale++
		s = j.sizeAt(scale)
	}
	return scale
}

// times is a size by so many thousandths, no side below the least that would do.
func (j *judge) times(at size, thousandths int) size {
	f, by := j.query.Kind.Facts, measure.Length(thousandths)
	return size{max(f.LeastWidth, at.width*by/1000, 1), max(f.LeastLength, at.length*by/1000, 1)}
}

// widths is how many widths of a kind are tried for the shape of an answer.
const widths = 48

// larger is by how much another shape must be larger to be worth telling.
const larger = 1.05

// shaped is the greatest size of a choice, of any shape that the kind allows,
// that is not above the wanted area: for each of so many widths the longest
// length; false unless it is larger enough than a size that is known.
func (j *judge) shaped(c choice, than size) (at size, t trial, ok bool) {
	f := j.query.Kind.Facts
	most := larger * j.area(than)
	for _, width := range j.widths() {
		longest := min(max(f.Length, f.MostLength),
			measure.Length(float64(f.Width)*float64(f.Length)/float64(width)))
		lo, hi := max(1, f.LeastLength)-1, longest+1
		for hi-lo > 1 {
			one := size{width, (lo + hi) / 2}
			got := j.try(c, one)
			if !got.ok {
				hi = one.length
				continue
			}
			if lo = one.length; j.area(one) > most {
				at, t, most, ok = one, got, j.area(one), true
			}
		}
	}
	return at, t, ok
}

// widths lists the widths to try, the least first.
func (j *judge) widths() []measure.Length {
	f := j.query.Kind.Facts
	least, most := max(1, f.LeastWidth), max(f.Width, f.MostWidth)
	var out []measure.Length
	for i := range widths {
		out = append(out, least+(most-least)*measure.Length(i)/(widths-1))
	}
	return slices.Compact(out)
}
