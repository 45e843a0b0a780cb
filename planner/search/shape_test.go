package search

import (
	"context"
	"math/rand/v2"
	"os"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
)

// TestALargerShapeIsLargerAllowedAndFits plans the other shape anew.
func TestALargerShapeIsLargerAllowedAndFits(t *testing.T) {
	seeds, told := uint64(8), 0
	if os.Getenv("ENDSMEET_LONG") == "1" {
		seeds = 40
	}
	for seed := range seeds {
		shelf := randomShelf(rand.New(rand.NewPCG(seed, 21)), 4, 12)
		for _, kind := range []string{"scarf", "throw", "runner"} {
			k := usualKind(kind)
			r, err := Find(context.Background(), shelf,
				Query{Kind: k, Top: 4, Colours: 1, Weights: usualWeights, Rest: 25_000})
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range r.Answers {
				if a.Larger == nil {
					continue
				}
				told++
				l, f := *a.Larger, k.Facts
				if l.Width < f.LeastWidth || l.Width > f.MostWidth || l.Length < f.LeastLength ||
					l.Length > f.MostLength {
					t.Errorf("seed %d: %v is no %s", seed, l, kind)
				}
				area := func(w, h float64) float64 { return w * h }
				was, now := area(float64(a.Project.Width), float64(a.Project.Length)),
					area(float64(l.Width), float64(l.Length))
				if now < was*larger || now > 1.001*area(float64(f.Width), float64(f.Length)) {
					t.Errorf("seed %d: %v is %.3f of %d x %d", seed, l, now/was, a.Project.Width,
						a.Project.Length)
				}
				b := a.Project
				b.Width, b.Length = l.Width, l.Length
				if o, err := making.Plan(a.Shelf, b); err != nil ||
					o.Probability < chance.SureFrom {
					t.Errorf("seed %d: %v fits with %.3f, %v", seed, l, o.Probability, err)
				}
			}
		}
	}
	if told < 5 {
		t.Fatalf("only %d larger shapes were told", told)
	}
}
