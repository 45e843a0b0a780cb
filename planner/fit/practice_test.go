package fit

import (
	"fmt"
	"testing"

	"endsmeet/planner"
	"endsmeet/stash/measure"
)

// The values in this file are the worked briefs B4 and B5 of the practice
// reference, part (c): computed there by a separate script, not measured.

// minis are the five hand-dyed skeins of B5: 20.4, 19.1, 20.0, 18.6 and 20.8 g at
// 4000 m/kg, ± 6 %.
func minis() []Package {
	grams := []float64{20.4, 19.1, 20.0, 18.6, 20.8}
	out := make([]Package, len(grams))
	for i, g := range grams {
		l := g * 4000
		out[i] = Package{
			ID: fmt.Sprintf("mini%d", i+1), Yarn: "minis", Colour: string(rune('a' + i)),
			Length: measure.Length(l), PlusMinus: measure.Length(l * 0.06), ForWarp: true,
		}
	}
	return out
}

// b5 is the spec of B5: 160 long, loss 14 % length and 12 % width, 5 ends/cm,
// 4.5 picks/cm, fringe 16 and 45 waste: warp 2.47 m.
func b5() planner.Spec {
	return planner.Spec{
		Pieces: 1,
		Cloth:  planner.Cloth{Sett: 5 * measure.PerCentimetre, Picks: 45 * measure.PerCentimetre / 10},
		Losses: planner.Losses{WetLength: 14 * measure.Percent, WetWidth: 12 * measure.Percent, WeftCrimp: 10 * measure.Percent},
		Ends:   planner.EndPlan{Modulus: 1},
		Edges:  planner.EdgePlan{Fringe: 160},
		Loom:   planner.LoomPlan{Back: 450},
	}
}

func geometry(t testing.TB, spec planner.Spec) Geometry {
	t.Helper()
	g, err := FromSpec(spec)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestScarfOfFiveMinisGivesTheEndsOfTheReference(t *testing.T) {
	weft := Package{ID: "sky", Yarn: "sky", Colour: "sky", Length: 811000, PlusMinus: 49000, ForWeft: true}
	ends := map[Level][]int{Middle: {33, 30, 32, 30, 33}, Low: {31, 29, 30, 28, 31}}
	total := map[Level]int{Middle: 158, Low: 149}
	for level, want := range ends {
		r := Request{Packages: append(minis(), weft), Geometry: geometry(t, b5()), Level: level,
			Want: Want{MinLength: 1600, MaxLength: 1600}}
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		last := res.Frontier[len(res.Frontier)-1]
		if last.Threaded != total[level] {
			t.Errorf("level %v: %d ends at 160 cm, want %d (the pooled length would give 160)", level, last.Threaded, total[level])
		}
		r.Ends.Min = total[level]
		if res, err = Solve(r); err != nil {
			t.Fatal(err)
		}
		for i, n := range want {
			if got := res.Recommended.Shares[i].Ends; got != n {
				t.Errorf("level %v: mini %d gives %d ends, want %d", level, i+1, got, n)
			}
		}
		if w := res.Recommended.WarpEnd; w != 2471 {
			t.Errorf("warp end %d mm, want 2.47 m", w)
		}
	}
}
