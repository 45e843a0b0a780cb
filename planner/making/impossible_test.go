package making

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestWhatCannotBeIsRefused(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 500))
	// 260 cm of warp, 30 cm in the reed, 92 g of warp and 84 g of weft
	piece := onLoom(t, s, scarf())
	for _, c := range []struct {
		rule string
		in   FinishInput
		says string // empty where it can be
	}{
		{"cloth longer than the warp", FinishInput{Measures: stash.Measures{Length: 180_000}},
			"--length: 18000 cm cannot come from a warp of 257.2 cm"},
		{"cloth as long as all the warp", FinishInput{Measures: stash.Measures{Length: 2600}}, ""},
		{"cloth off the loom longer than the warp",
			FinishInput{Measures: stash.Measures{OffLoom: 19_000}}, "--off-loom"},
		{"a tape of stretched warp", FinishInput{Measures: stash.Measures{Tape: 2700}}, ""},
		{"a tape longer than any stretch", FinishInput{Measures: stash.Measures{Tape: 5000}},
			"--tape"},
		{"waste longer than the warp", FinishInput{Measures: stash.Measures{Waste: 4000}},
			"--waste"},
		{"cloth wider than the reed", FinishInput{Measures: stash.Measures{Width: 760}},
			"--width: 76 cm cannot come from a warp of 30 cm in the reed"},
		{"cloth a little wider than the reed", FinishInput{Measures: stash.Measures{Width: 320}},
			""},
		{"a wider reed allows a wider cloth",
			FinishInput{Measures: stash.Measures{Width: 560, Reed: 600}}, ""},
		{"ends ten times the plan", FinishInput{Measures: stash.Measures{Ends: 2400}},
			"--ends: 2400 were counted where 240 were planned"},
		{"picks below zero", FinishInput{Measures: stash.Measures{Picks: -1}}, "--picks"},
		{"five times the yarn planned", FinishInput{Weighed: []stash.Weighed{net("c", 440)}},
			"took 460 g"},
		{"half as much again", FinishInput{Weighed: []stash.Weighed{net("c", 760)}}, ""},
		{"cloth heavier than its yarn",
			FinishInput{Measures: stash.Measures{Cloth: 300 * measure.Gram}},
			"--cloth: 300 g of cloth cannot come from 175 g of yarn"},
		{"a digit of the length missing", FinishInput{Measures: stash.Measures{Length: 190}},
			"--length: 19 cm is far less than"},
		{"cloth cut off half way", FinishInput{Measures: stash.Measures{Length: 950}}, ""},
		{"short cloth of a tape that was short", FinishInput{Measures: stash.Measures{Length: 800,
			Tape: 1000}}, ""},
		{"a tape of a tenth", FinishInput{Measures: stash.Measures{Tape: 205}}, "--tape"},
		{"a narrow cloth", FinishInput{Measures: stash.Measures{Width: 25}}, "--width"},
		{"ends without their first digit", FinishInput{Measures: stash.Measures{Ends: 40}},
			"--ends: 40 is far less than the 240"},
		{"half the ends", FinishInput{Measures: stash.Measures{Ends: 120}}, ""},
		{"picks without their last digit", FinishInput{Measures: stash.Measures{Picks: 90}},
			"--picks: 90 is far less than"},
		{"few picks of a short tape", FinishInput{Measures: stash.Measures{Picks: 300,
			Tape: 800}}, ""},
		{"a warp as long as its cloth",
			FinishInput{Measures: stash.Measures{Wound: 1800, Length: 1800}}, "--wound: 180 cm"},
		{"cloth of a tenth of its yarn",
			FinishInput{Measures: stash.Measures{Cloth: 17 * measure.Gram}},
			"--cloth: 17 g of cloth is far less than the 175 g of yarn"},
		{"cloth in a damp room", FinishInput{Measures: stash.Measures{Cloth: 190 * measure.Gram}},
			""},
	} {
		t.Run(c.rule, func(t *testing.T) {
			_, err := s.Finish(piece, c.in)
			if c.says == "" && err != nil || c.says != "" &&
				(err == nil || !strings.Contains(err.Error(), c.says)) {
				t.Errorf("%v", err)
			}
			c.in.Force = true
			if _, err := s.Finish(piece, c.in); err != nil {
				t.Errorf("forced: %v", err)
			}
		})
	}
}

func TestTheHintNamesTheLikelyUnit(t *testing.T) {
	for _, c := range []struct {
		is   measure.Length
		most float64
		says string
	}{
		{762, 307, "inches"}, {1800, 260, "typed as centimetres"},
		{18_000, 260, "centimetres, typed as metres"},
		{180_000, 260, "millimetres, typed as metres"}, {9_000_000, 260, "right unit"},
	} {
		if got := unitHint(c.is, c.most); !strings.Contains(got, c.says) {
			t.Errorf("%d of %v: %s", c.is, c.most, got)
		}
	}
}

func TestForcedMeasuresAreNamedAsNotLearned(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 500))
	piece := onLoom(t, s, scarf())
	f := finished(t, s, piece, FinishInput{Measures: stash.Measures{Tape: 2100, OffLoom: 2000,
		Length: 20}, Force: true})
	left := s.Unbelieved(piece, f)
	if len(left) != 2 || left[0].Name != "shrink_length" || left[1].Name != "stretch" {
		t.Errorf("%+v", left)
	}
	f.Measures.Length = 1800
	if left := s.Unbelieved(piece, f); len(left) != 0 {
		t.Errorf("%+v", left)
	}
}

// Where what was woven and what was left cannot come from what was wound, even where
// something else is asked about too, the readings that would be true are named.
func TestAWarpOutOfBalanceIsToldWithTheLikeliestReading(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 500))
	piece := onLoom(t, s, scarf())
	for name, m := range map[string]stash.Measures{
		"alone":          {Tape: 2100, OffLoom: 2000, Length: 1800, WasteTaut: 1500, Wound: 2800},
		"beside a jump":  {Tape: 2600, OffLoom: 1800, Length: 1600, WasteTaut: 1000, Wound: 2800},
		"more was wound": {Tape: 1500, OffLoom: 1400, Length: 1300, WasteTaut: 300, Wound: 2800},
	} {
		left := s.Unbelieved(piece, finished(t, s, piece, FinishInput{Measures: m, Force: true}))
		i := slices.IndexFunc(left,
			func(l learn.LeftOut) bool { return strings.HasPrefix(l.Name, "the warp") })
		if i < 0 || !strings.Contains(left[i].Why, "Likeliest: the ends were ") ||
			!strings.Contains(left[i].Why, "or the tape read ") {
			t.Errorf("%s: %+v", name, left)
		}
	}
}
