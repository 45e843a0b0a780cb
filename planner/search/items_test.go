package search

import (
	"math/rand/v2"
	"testing"

	"endsmeet/planner/kinds"
	"endsmeet/stash/measure"
)

// TestTheBoundsOfTheWeftHoldForEveryPair holds what the search takes a weft lot to need
// at least and at most against what the planner reckons for it with every warp, for
// cloth with every finish of its edges and for rags.
func TestTheBoundsOfTheWeftHoldForEveryPair(t *testing.T) {
	pairs := 0
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 3))
		k := usualKind([]string{"scarf", "tea towel", "rag rug"}[seed%3])
		if !k.Rag {
			k.Facts.HemstitchedEdges, k.Facts.BoundEdges = r.IntN(2), r.IntN(2)
			k.Facts.Clasped, k.Facts.Pieces = r.IntN(2) == 0, 1+r.IntN(3)
			k.Facts.Sample = measure.Length(r.IntN(200))
		}
		q := Query{Kind: k, Weights: usualWeights}
		g, f := NewStock(randomShelf(r, 12, 30), q).prepare(q)
		pairs += holdBounds(t, k, g, f.judge)
	}
	if pairs < 200 {
		t.Fatalf("only %d pairs", pairs)
	}
}

// holdBounds tries every weft lot with every warp lot and returns how many pairs.
func holdBounds(t *testing.T, k kinds.Kind, g *gathering, j *judge) (pairs int) {
	s := j.scales(g)
	for _, weft := range g.all() {
		if !weft.asWeft {
			continue
		}
		least, most, fixed := j.weftRange(j.spec(choice{[]*lot{weft}, weft}, j.sizeAt(1000)), weft,
			s)
		for _, warp := range g.all() {
			if !warp.asWarp {
				continue
			}
			pairs++
			spec := j.spec(choice{[]*lot{warp}, weft}, j.sizeAt(1000))
			exact := float64(j.weftFor(spec, spec.ThreadedFor(), weft))
			factor := j.lengthen(warp.figures)
			if exact < least*factor || exact > most*factor+fixed {
				t.Errorf("%s of %s on %s: %.0f mm, bounds %.0f and %.0f", k.Name, weft.label,
					warp.label, exact, least*factor, most*factor+fixed)
			}
		}
	}
	return pairs
}
