package fit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// sampled is lines with a sample of 20 cm.
type sampled struct{ lines }

func (g sampled) Once(threaded int) measure.Length { return g.lines.Weft(threaded, 200) }
func (g sampled) Weft(threaded int, lf measure.Length) measure.Length {
	return g.lines.Weft(threaded, lf) + g.Once(threaded)
}

// piecesOfWefts draws pieces on one warp and two to four wefts, of one yarn whose count is in
// doubt or of their own, that together have about what the pieces take.
func piecesOfWefts(r *rand.Rand) Request {
	out := twoYarns(400_000, 0)
	out.Pieces, out.Lots = 2+r.IntN(3), WholeLots
	if r.IntN(2) == 0 {
		out.Geometry = sampled{}
	}
	need := float64(out.Geometry.Weft(100, 1500))
	like := out.Packages[1]
	out.Packages = out.Packages[:1]
	alike, wefts := r.IntN(2) == 0, 2+r.IntN(3)
	for i := range wefts {
		k := like
		k.ID, k.Lot = fmt.Sprint("weft ", i), fmt.Sprint(i)
		k.Length = measure.Length(need * (0.1 + 2*r.Float64()) / float64(wefts))
		k.Own = float64(k.Length) * 0.03 * r.Float64()
		if !alike {
			k.Shared = []chance.Loading{{Factor: k.ID, Relative: 0.05}}
		}
		out.Packages = append(out.Packages, k)
	}
	return out
}

// everySharing is the greatest chance of all ways to share the pieces out, one after another.
func everySharing(t *testing.T, s *solver, lf int64, at *trial) (best chance.Answer) {
	at.sharing = sharing{pieces: make([]int, len(s.wefts)), once: make([]bool, len(s.wefts))}
	var from func(n, left int)
	from = func(n, left int) {
		if n == len(s.wefts)-1 {
			at.pieces[n] = left
			for with := range s.wefts {
				clear(at.once)
				at.once[with] = true
				a, err := chance.Fits(s.problem(100, lf, at))
				if err != nil {
					t.Fatal(err)
				}
				if a.Probability > best.Probability {
					best = a
				}
			}
			return
		}
		for k := range left + 1 {
			at.pieces[n] = k
			from(n+1, left-k)
		}
	}
	from(0, s.r.pieces())
	return best
}

// TestPiecesAreSharedOutAsTheyAreLikeliestToFit asks for random pieces of several wefts: no
// other way to share them out is likelier.
func TestPiecesAreSharedOutAsTheyAreLikeliestToFit(t *testing.T) {
	open := 0
	for seed := range uint64(40) {
		r := piecesOfWefts(rand.New(rand.NewPCG(seed, 8)))
		got, err := Chance(r, 100, 1500)
		if err != nil {
			t.Fatal(err)
		}
		s, at, err := r.at(100, 1500)
		if err != nil || at == nil {
			t.Fatal(err)
		}
		best := everySharing(t, s, 1500, at)
		if got.Probability < best.Probability-got.Bound-best.Bound {
			t.Errorf("seed %d: %.4f, another way %.4f", seed, got.Probability, best.Probability)
		}
		if best.Probability > 0.01 && best.Probability < 0.99 {
			open++
		}
	}
	if open < 10 {
		t.Errorf("%d in doubt", open)
	}
}
