package chance

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"testing"
)

// TestNoQuestionCostsMoreThanItsBudget asks random questions with knots, coarse scales,
// assumed tares and eight losses: the work is counted, not timed. A round may double
// the work that there was, and the first round is not cut off.
func TestNoQuestionCostsMoreThanItsBudget(t *testing.T) {
	asked := 0
	for _, packages := range []int{3, 12, 60, 500} {
		for seed := range uint64(8) {
			r := rand.New(rand.NewPCG(seed, uint64(packages)))
			p := drawnProblem(r, packages, seed%2 == 0)
			m := newModel(&p)
			out := m.evaluate(careful)
			asked++
			first := replicates * careful.first * packages * 400
			if most := 3*careful.work + first; m.work > most {
				t.Errorf("%d packages: %d looked at, %d at most", packages, m.work, most)
			}
			if out.err > 0.02 {
				t.Errorf("%d packages: %.4f ± %.4f", packages, out.p, out.err)
			}
		}
	}
	if asked != 32 {
		t.Fatalf("%d questions", asked)
	}
}

func TestTheSameQuestionHasTheSameAnswerToTheLastBit(t *testing.T) {
	p := drawnProblem(rand.New(rand.NewPCG(5, 5)), 20, true)
	var before []byte
	for range 3 {
		a, err := Fits(p)
		if err != nil {
			t.Fatal(err)
		}
		now, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		if before != nil && !bytes.Equal(before, now) {
			t.Fatalf("%s, then %s", before, now)
		}
		before = now
	}
}

// TestCountsOfCutYarnAreThoseOfDrawnCuts holds the formula for knots against cuts drawn
// at random.
func TestCountsOfCutYarnAreThoseOfDrawnCuts(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	for _, c := range []struct {
		a float64
		k int
	}{{0.5, 1}, {3.3, 1}, {7.5, 2}, {20.1, 3}, {60, 5}, {12.4, 8}} {
		const draws = 20_000
		seen := map[int]float64{}
		for range draws {
			seen[unitsOf(&Package{Knots: c.k}, c.a, 1, r)] += 1.0 / draws
		}
		for n := range int(c.a) + 1 {
			if n == 0 {
				continue
			}
			want, got := seen[n], cutChance(n, c.a, c.k)
			if d := want - got; d > 0.02 || d < -0.02 {
				t.Errorf("%d units of %g with %d knots: %.4f, drawn %.4f", n, c.a, c.k, got, want)
			}
		}
	}
}
