package fit

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// sharing is a way to share pieces out among the weft sources, each woven from one.
type sharing struct {
	pieces []int  // woven from each weft source
	once   []bool // whether it weaves what is woven once, too
	// odds is the logarithm of the product of the chances that each weft is enough, least that
	// of the least of them. Errors that wefts share move all of them alike, so the chance that
	// all are enough lies between.
	odds, least float64
	wefts       int // that are woven from
}

// hair is what a chance is worked out to at best: a single weft that is as good as several
// to within that shows least.
const hair = 1e-4

// mostSharings is how many ways to share out are kept, the likeliest by their product.
const mostSharings = 8

// layOut shares the pieces out among the weft sources in the way in which the size is likeliest
// to fit; of those alone in which every source has enough in the middle, where that is asked.
func (s *solver) layOut(t *trial, threaded int, lf int64, enough bool) error {
	s.measureCaps(max(1, int64(s.r.Geometry.WarpEnd(measure.Length(lf)))))
	t.sharing = sharing{pieces: make([]int, len(s.wefts)), once: make([]bool, len(s.wefts))}
	for _, side := range s.r.sides() {
		ways := s.sharings(t, side, threaded, lf, enough)
		best, most := t.sharing, math.Inf(-1)
		for _, t.sharing = range ways {
			odds := 0.0
			if len(ways) > 1 {
				a, err := chance.Nearly(s.problem(threaded, lf, t))
				if err != nil {
					return err
				}
				odds = a.Probability
			}
			if odds > most {
				best, most = t.sharing, odds
			}
		}
		t.sharing = best
	}
	return nil
}

// sharings are the ways to share the pieces of a side out any of which may be the likeliest:
// one where that is settled by their bounds.
func (s *solver) sharings(t *trial, side, threaded int, lf int64, enough bool) []sharing {
	all := s.r.ofSide(int64(s.r.Geometry.Weft(threaded, measure.Length(lf))))
	once := s.r.ofSide(int64(s.r.Geometry.Once(threaded)))
	each, have := s.pieceNeed(all, once), s.left(t, side)
	kinds := min(2, 1+int(once))
	ways := make([][]sharing, kinds*(s.r.pieces()+1)) // by pieces, without and with what is woven once
	ways[0] = []sharing{t.sharing}
	for _, n := range slices.Sorted(maps.Keys(have)) {
		ways = dealt(ways, kinds, n, func(pieces, with int) (float64, bool) {
			need := min(all, each*int64(pieces)+once*int64(with))
			return logBelow(s.margin(n, threaded, have[n], need)), need <= have[n] || !enough
		})
	}
	last := ways[len(ways)-1]
	if len(last) == 0 || last[0].odds > math.Log1p(-hair) {
		return last[:min(1, len(last))]
	}
	most := slices.MaxFunc(last, func(a, b sharing) int { return cmp.Compare(a.odds, b.odds) }).odds
	return slices.DeleteFunc(last, func(w sharing) bool { return w.least < most })
}

// dealt extends ways by what source n may weave, which has odds for each.
func dealt(ways [][]sharing, kinds, n int, odds func(pieces, once int) (float64, bool)) [][]sharing {
	next := make([][]sharing, len(ways))
	for by := range ways {
		log, can := 0.0, true
		if by > 0 {
			log, can = odds(by/kinds, by%kinds)
		}
		for at := 0; can && at+by < len(ways); at++ {
			if at%kinds+by%kinds >= kinds {
				continue // woven once already
			}
			for _, w := range ways[at] {
				next[at+by] = append(next[at+by], w.and(n, by/kinds, by%kinds, log))
			}
		}
	}
	for i := range next {
		slices.SortStableFunc(next[i], likelier)
		next[i] = next[i][:min(mostSharings, len(next[i]))]
	}
	return next
}

// and is w where source n weaves so much besides, with so much of a chance.
func (w sharing) and(n, pieces, once int, log float64) sharing {
	if pieces+once > 0 {
		w.pieces, w.once = slices.Clone(w.pieces), slices.Clone(w.once)
		w.pieces[n], w.once[n] = pieces, once > 0
		w.wefts++
	}
	w.odds, w.least = w.odds+log, min(w.least, log)
	return w
}

func (w sharing) equal(v sharing) bool {
	return slices.Equal(w.pieces, v.pieces) && slices.Equal(w.once, v.once)
}

// likelier orders ways: among those that are as good as certain fewer wefts first.
func likelier(a, b sharing) int {
	certain := func(w sharing) float64 {
		if p := math.Exp(w.odds); p > 0.99 {
			return math.Round(p / hair)
		}
		return 0
	}
	if c := cmp.Compare(certain(b), certain(a)); c != 0 || certain(a) == 0 {
		return cmp.Or(c, cmp.Compare(b.odds, a.odds))
	}
	return cmp.Or(cmp.Compare(a.wefts, b.wefts), cmp.Compare(b.odds, a.odds))
}

// logBelow is the logarithm of the chance that a standard normal error is below z.
func logBelow(z float64) float64 {
	if z < -30 { // too little for a number: the tail's first term
		return -z*z/2 - math.Log(-z*math.Sqrt(2*math.Pi))
	}
	return math.Log(math.Erfc(-z/math.Sqrt2) / 2)
}
