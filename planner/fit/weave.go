package fit

import (
	"maps"
	"math"
	"slices"

	"endsmeet/stash/measure"
)

// weaves says whether the weft sources have enough for all pieces, each of one source, after
// the warp is cut: on each side of a clasped weft.
func (s *solver) weaves(t *trial, weft, once int64) bool {
	for _, side := range s.r.sides() {
		if weft > 0 && !s.enough(s.left(t, side), s.r.ofSide(weft), s.r.ofSide(once)) {
			return false
		}
	}
	return true
}

// left is what the sources of one side have for the weft.
func (s *solver) left(t *trial, side int) map[int]int64 {
	have := map[int]int64{}
	for n := range s.wefts {
		if s.wefts[n].side == side {
			have[n] = s.wefts[n].usable - s.cutFrom(t, n)
		}
	}
	return have
}

// enough says whether sources that have so much weave all of a weft, of which so much is woven
// once, by one of them.
func (s *solver) enough(have map[int]int64, weft, once int64) bool {
	need, pieces := max(1, s.pieceNeed(weft, once)), int64(0)
	for _, left := range have {
		pieces += max(0, left/need)
	}
	for _, left := range have {
		if left >= weft || left >= once &&
			pieces-left/need+(left-once)/need >= int64(s.r.pieces()) {
			return true
		}
	}
	return false
}

// margin is by how many standard deviations of yarn and weaving a source has more than is
// needed.
func (s *solver) margin(n, threaded int, have, need int64) float64 {
	doubt := math.Hypot(s.yarnDoubt(n), s.weavingDoubt(threaded)*float64(need))
	return float64(have-need) / max(1, doubt)
}

// yarnDoubt is the standard uncertainty of all yarn of a weft source.
func (s *solver) yarnDoubt(n int) float64 {
	w := &s.wefts[n]
	if w.doubt == 0 {
		own, by := 1.0, map[string]float64{}
		for _, i := range w.pkgs {
			k := &s.r.Packages[i]
			own += k.Own * k.Own
			for _, l := range k.Shared {
				by[l.Factor] += l.Relative*float64(k.Length) + l.Absolute
			}
		}
		for _, k := range slices.Sorted(maps.Keys(by)) {
			own += by[k] * by[k]
		}
		w.doubt = math.Sqrt(own)
	}
	return w.doubt
}

// weavingDoubt is how far the weft of so many ends is in doubt, as a share of it.
func (s *solver) weavingDoubt(threaded int) float64 {
	share, known := s.weaving[threaded]
	if !known {
		weft := func(g Geometry) measure.Length { return g.Weft(threaded, measure.Metre) }
		for _, l := range s.r.loadings(1/float64(max(1, weft(s.r.Geometry))), weft) {
			share = math.Hypot(share, l.Absolute)
		}
		s.weaving[threaded] = share
	}
	return share
}
