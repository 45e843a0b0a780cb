package search

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/planner/fit"
	"endsmeet/stash/measure"
)

// TestASizeFitsWhereTheSolverSaysSo holds single lots and pairs against package
// fit, which searches end counts and lengths by itself: the same packages at the
// same lengths, the same ends, and a greatest length that is reached or not.
func TestASizeFitsWhereTheSolverSaysSo(t *testing.T) {
	fits, not := 0, 0
	for seed := range 400 {
		r := rand.New(rand.NewPCG(uint64(seed), 9))
		shelf := randomShelf(r, 4, 16)
		q := Query{Kind: usualKind("scarf"), Weights: usualWeights, Rest: 25_000}
		g, f := NewStock(shelf, q).prepare(q)
		lots := g.all()
		if len(lots) == 0 {
			continue
		}
		warp, weft := lots[r.IntN(len(lots))], lots[r.IntN(len(lots))]
		if !warp.asWarp || !weft.asWeft {
			continue
		}
		c := choice{[]*lot{warp}, weft}
		scale := f.judge.least + r.IntN(1001-f.judge.least)
		got := f.judge.try(c, f.judge.sizeAt(scale))
		if got.short == "loom width" {
			continue
		}
		want, err := solverFits(f.judge, c, scale)
		if err != nil {
			t.Fatal(seed, err)
		}
		if got.ok != want {
			t.Errorf("seed %d, scale %d: fits %v (%s), package fit says %v", seed, scale, got.ok,
				got.short, want)
		}
		if want {
			fits++
		} else {
			not++
		}
	}
	if fits < 30 || not < 30 {
		t.Fatalf("%d fit, %d do not", fits, not)
	}
}

// solverFits asks package fit for one size.
func solverFits(j *judge, c choice, scale int) (bool, error) {
	s := j.spec(c, j.sizeAt(scale))
	geometry, err := fit.FromSpec(s)
	if err != nil {
		return false, err
	}
	r := fit.Request{Geometry: geometry, Join: j.join, Ends: fit.EndRule{Modulus: s.Ends.Modulus,
		Floats: s.Ends.Floats, Strands: s.Ends.Strands, Loops: s.Ends.Loops}}
	r.Ends.Min, r.Ends.Max = s.ThreadedFor(), s.ThreadedFor()
	add := func(l *lot, asWarp, asWeft bool) {
		for i, p := range l.packs {
			k := *p.strands()
			k.ID, k.Yarn, k.Colour, k.Lot = fmt.Sprint(l.rank, "-", i), string(l.yarn), l.colour,
				l.label
			k.Length, k.ForWarp, k.ForWeft = p.low, asWarp, asWeft
			r.Packages = append(r.Packages, k)
		}
	}
	if c.warp[0] == c.weft {
		add(c.weft, true, true)
	} else {
		add(c.warp[0], true, false)
		add(c.weft, false, true)
	}
	res, err := fit.Solve(r)
	return res.Recommended != nil && res.Recommended.Length >= measure.Length(s.Size.Length), err
}
