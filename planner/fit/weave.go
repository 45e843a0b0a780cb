package fit

import (
	"maps"
	"math"
	"slices"

	"endsmeet/stash/measure"
)

// weave shares the pieces among the weft sources after the warp is cut, on each side of
// a clasped weft; false if they don't suffice.
func (s *solver) weave(t *trial, threaded int, weft, once int64) bool {
	t.pieces, t.once = make([]int, len(s.wefts)), make([]bool, len(s.wefts))
	if weft <= 0 {
		return true
	}
	for _, side := range s.r.sides() {
		if !s.weaveSide(t, side, threaded, s.r.ofSide(weft), s.r.ofSide(once)) {
			return false
		}
	}
	return true
}

// weaveSide shares the pieces among the sources of one side: all to the first that is as good
// as certain to have them, which shows least, else as shareOut does.
func (s *solver) weaveSide(t *trial, side, threaded int, weft, once int64) bool {
	have := map[int]int64{}
	for n := range s.wefts {
		if s.wefts[n].side == side {
			have[n] = s.wefts[n].usable - s.cutFrom(t, n)
		}
	}
	for n := range s.wefts {
		left, is := have[n]
		if !is || len(have) > 1 && s.margin(n, threaded, left, weft) < ample {
			continue
		}
		t.pieces[n], t.once[n] = s.r.pieces(), true
		return left >= weft
	}
	return s.shareOut(t, have, threaded, s.pieceNeed(weft, once), once)
}

// ample is the margin, in standard deviations, with which a source has enough in more than 998
// of 1000 cases.
const ample = 3.0

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

// shareOut gives what is woven once to one source and each piece to one, so that the least
// margin of one of them is as much as can be.
func (s *solver) shareOut(t *trial, have map[int]int64, threaded int, need, once int64) bool {
	best, with, most := map[int]int64(nil), 0, math.Inf(-1)
	for n := range s.wefts {
		if left, is := have[n]; !is || left < once {
			continue
		}
		gives := s.inTurn(have, n, threaded, need, once)
		least := math.Inf(1)
		for n, much := range gives {
			least = min(least, s.margin(n, threaded, have[n], much))
		}
		if gives != nil && least > most {
			best, with, most = gives, n, least
		}
		if once == 0 {
			break // whoever weaves nothing
		}
	}
	if best == nil {
		return false
	}
	t.once[with] = true
	best[with] -= once
	for n, much := range best {
		t.pieces[n] = int(much / max(1, need))
	}
	return true
}

// inTurn gives each piece to the source that has the greatest margin with it, when one of
// them has woven what is woven once; nil where they do not suffice.
func (s *solver) inTurn(have map[int]int64, with, threaded int, need, once int64) map[int]int64 {
	gives := map[int]int64{with: once}
	for range s.r.pieces() {
		best, most := -1, 0.0
		for n := range s.wefts {
			left, is := have[n]
			if !is || left < gives[n]+need {
				continue
			}
			if m := s.margin(n, threaded, left, gives[n]+need); best < 0 || m > most {
				best, most = n, m
			}
		}
		if best < 0 {
			return nil
		}
		gives[best] += need
	}
	return gives
}
