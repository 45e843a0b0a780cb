package share

import (
	"context"
	"testing"
)

// TestBrokenOffItGivesTheBestSoFarWithAProvenGap breaks off before the first
// step, and holds the answer against the one that was not broken off.
func TestBrokenOffItGivesTheBestSoFarWithAProvenGap(t *testing.T) {
	open := 0
	for seed := range uint64(20) {
		p := randomInstance(seed, 8, 60).problem()
		full, err := Solve(context.Background(), p)
		if err != nil || !full.Proven || full.Gap() != 0 {
			t.Fatal(err, full.Value, full.Bound)
		}
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		short, err := Solve(ctx, p)
		if err != nil {
			t.Fatal(err)
		}
		if short.Value > full.Value || short.Bound < full.Value {
			t.Errorf("seed %d: %d to %d does not hold %d", seed, short.Value, short.Bound,
				full.Value)
		}
		if problem := wrong(p, short); problem != "" {
			t.Errorf("seed %d: %s", seed, problem)
		}
		if !short.Proven {
			open++
		}
		p.Nodes = 1
		few, err := Solve(context.Background(), p)
		if err != nil || few.Value > full.Value || few.Bound < full.Value || wrong(p, few) != "" {
			t.Errorf("seed %d, one node: %d to %d does not hold %d, %v", seed, few.Value, few.Bound,
				full.Value, err)
		}
	}
	if open == 0 {
		t.Fatal("nothing was broken off")
	}
}

func TestAProblemThatMakesNoSenseIsRefused(t *testing.T) {
	for name, p := range map[string]Problem{
		"a length below zero": {Packages: []int64{-1}},
		"a winding of no length": {Packages: []int64{1},
			Projects: [][]Option{{{Windings: []Windings{{[]int{0}, 1, 0}}}}}},
		"a pool out of range": {Packages: []int64{1},
			Projects: [][]Option{{{Wefts: []Weft{{[]int{1}, 1}}}}}},
		"a package twice in a pool": {Packages: []int64{1},
			Projects: [][]Option{{{Wefts: []Weft{{[]int{0, 0}, 1}}}}}},
		"a value below zero": {Packages: []int64{1}, Projects: [][]Option{{{Value: -1}}}},
		"weft below zero": {Packages: []int64{1},
			Projects: [][]Option{{{Wefts: []Weft{{[]int{0}, -1}}}}}},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Solve(context.Background(), p); err == nil {
				t.Error("is taken")
			}
		})
	}
}
