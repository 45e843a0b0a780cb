package chance

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestTheMeasurementOfTheGreatestErrorHelpsMost(t *testing.T) {
	tare := Loading{Factor: "tare", Absolute: -60000}
	p := Problem{WarpEnd: Need{Length: 4580}, Warp: []WarpPool{{[]int{0}, 200}},
		Packages: []Package{
			{ID: "slate", Length: 914000, Own: 2000,
				Shared: []Loading{tare, {Factor: "count", Relative: 0.03}}}}}
	ws, err := WorthOf(p, []Measurement{
		{Name: "weigh it again", Package: 0},
		{Name: "cut and weigh ten metres", Factor: "count", Remaining: 0.5},
		{Name: "weigh an empty", Factor: "tare"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if ws[0].Measurement.Name != "weigh an empty" || ws[2].Measurement.Name != "weigh it again" {
		t.Errorf("order %q, %q, %q", ws[0].Measurement.Name, ws[1].Measurement.Name,
			ws[2].Measurement.Name)
	}
	if ws[0].Move < 0.2 || ws[2].Move > 0.05 {
		t.Errorf("moves %.3f and %.3f", ws[0].Move, ws[2].Move)
	}
}

// TestExpectedProbabilityAfterMeasuringIsThatOfNow is the law of total probability.
func TestExpectedProbabilityAfterMeasuringIsThatOfNow(t *testing.T) {
	cases := 0
	for _, in := range instances() {
		if in.name != "sixty small balls" && in.name != "both, hardly any weft" {
			continue
		}
		cases++
		m := Measurement{Factor: in.p.Packages[0].Shared[0].Factor, Remaining: 0.4}
		mean := 0.0
		for i, z := range outcomes().z {
			after, err := After(in.p, m, z)
			if err != nil {
				t.Fatal(err)
			}
			mean += outcomes().w[i] * probability(t, after)
		}
		if now := probability(t, in.p); math.Abs(mean-now) > 0.01 { // five nodes, and the bounds
			t.Errorf("%s: expected %.5f after measuring, %.5f now", in.name, mean, now)
		}
	}
	if cases != 2 {
		t.Fatalf("%d cases", cases)
	}
}

func TestProbabilityStaysInBoundsAndRisesWithYarn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "packages")
		shared := []Loading{{Factor: "count", Relative: rapid.Float64Range(0, 0.2).Draw(t,
			"count")}}
		p := Problem{WarpEnd: Need{Length: rapid.Float64Range(500, 3000).Draw(t, "end")},
			Unit: rapid.IntRange(1, 2).Draw(t, "unit")}
		for range n {
			p.Packages = append(p.Packages,
				Package{Length: rapid.Float64Range(0, 20000).Draw(t, "length"),
					Own: rapid.Float64Range(0, 900).Draw(t, "own"), Shared: shared})
		}
		p.Warp = []WarpPool{{seq(0, n), rapid.IntRange(0, 20).Draw(t, "ends")}}
		p.Weft = []WeftPool{{seq(0, rapid.IntRange(0, n).Draw(t, "mixed")),
			Need{Length: rapid.Float64Range(0, 20000).Draw(t, "need")}}}
		before, err := Fits(p)
		if err != nil {
			t.Fatal(err)
		}
		if before.Probability < 0 || before.Probability > 1 || math.IsNaN(before.Probability) {
			t.Fatalf("probability %g", before.Probability)
		}
		p.Packages[0].Length += p.WarpEnd.Length * 2
		p.Packages[0].Shared = nil
		p.Packages[0].Own = 0
		q := p
		q.Packages = append([]Package(nil), p.Packages...)
		q.Packages[0].Length += rapid.Float64Range(0, 5000).Draw(t, "more")
		less, _ := Fits(p)
		more, _ := Fits(q)
		if more.Probability < less.Probability-1e-3 {
			t.Fatalf("more yarn lowered the probability from %g to %g", less.Probability,
				more.Probability)
		}
	})
}
