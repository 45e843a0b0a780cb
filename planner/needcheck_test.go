package planner

import (
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

func TestNeedRefuses(t *testing.T) {
	rows := []struct {
		field string
		spoil func(*Spec)
	}{
		{"pieces", func(s *Spec) { s.Pieces = 0 }},
		{"size.length", func(s *Spec) { s.Size.Length = 0 }},
		{"size.width", func(s *Spec) { s.Size.Width = -1 }},
		{"size.width", func(s *Spec) {
			s.Size.Width, s.Cloth.Sett, s.Losses.WetWidth = maxLength, maxSett, 900_000
		}},
		{"cloth.sett", func(s *Spec) { s.Cloth.Sett = 0 }},
		{"cloth.picks", func(s *Spec) { s.Cloth.Picks = 0 }},
		{"cloth.picks", func(s *Spec) {
			s.Size.Length, s.Cloth.Picks, s.Losses.WetLength, s.Pieces = maxLength, maxSett,
				900_000, 5
		}},
		{"size.length", func(s *Spec) { s.Size.Length, s.Pieces = maxLength, maxPieces }},
		{"ends.modulus", func(s *Spec) { s.Ends.Modulus = 0 }},
		{"ends.floats", func(s *Spec) { s.Ends.Floats = 1 }},
		{"ends.strands", func(s *Spec) { s.Ends.Strands = -1 }},
		{"weft.strands", func(s *Spec) { s.Weft.Strands = -1 }},
		{"weft.joins", func(s *Spec) { s.Weft.Joins = -1 }},
		{"weft.overlap", func(s *Spec) { s.Weft.Overlap = -1 }},
		{"weft.mass_per_area", func(s *Spec) { s.Weft.MassPerArea = -1 }},
		{"losses.wet_length", func(s *Spec) { s.Losses.WetLength = measure.Whole }},
		{"losses.wet_width", func(s *Spec) { s.Losses.WetWidth = measure.Whole }},
		{"losses.draw_in", func(s *Spec) { s.Losses.DrawIn = -200_000 }},
		{"losses.stretch", func(s *Spec) { s.Losses.Stretch = measure.Whole }},
		{"losses.warp_take_up", func(s *Spec) { s.Losses.WarpTakeUp = 571_000 }},
		{"losses.weft_take_up", func(s *Spec) { s.Losses.WeftTakeUp = 571_000 }},
		{"edges.twist.loss", func(s *Spec) { s.Edges.Twist.Loss = measure.Whole }},
		{"edges.twist.finished", func(s *Spec) { s.Edges.Twist.Knot = 20 }},
		{"edges.fringe", func(s *Spec) {
			s.Edges = EdgePlan{Fringe: 100, Twist: Twist{Finished: 100}}
		}},
		{"edges.hem", func(s *Spec) { s.Edges.Fringe = 100 }},
		{"edges.hem_stitched", func(s *Spec) { s.Edges.Finished[HemStitching] = 3 }},
		{"loom.front", func(s *Spec) { s.Loom.Front = -1 }},
		{"loom.gap", func(s *Spec) { s.Edges, s.Loom.Gap = EdgePlan{Fringe: 100}, 199 }},
		{"limits.loom_width", func(s *Spec) { s.Limits.LoomWidth = 549 }},
		{"limits.reed_width", func(s *Spec) { s.Limits.ReedWidth = 549 }},
		{"limits.heddles", func(s *Spec) { s.Limits.Heddles = 439 }},
		{"limits.max_warp", func(s *Spec) { s.Limits.MaxWarp = 4 * m }},
	}
	for _, row := range rows {
		t.Run(row.field, func(t *testing.T) {
			s := towels()
			row.spoil(&s)
			_, err := Need(s)
			refuses(t, row.field, err)
		})
	}
}

func TestAllFaultsAreNamedAtOnce(t *testing.T) {
	s := towels()
	s.Pieces, s.Cloth.Sett, s.Loom.Back = 0, 0, -1
	_, err := Need(s)
	for _, field := range []string{"pieces", "cloth.sett", "loom.back"} {
		refuses(t, field, err)
		if !strings.Contains(err.Error(), field) {
			t.Errorf("%s is not in %q", field, err)
		}
	}
}

func TestLimitsThatJustFit(t *testing.T) {
	s := towels()
	s.Limits = Limits{LoomWidth: 550, ReedWidth: 550, Heddles: 440, MaxWarp: 4578}
	mustNeed(t, s)
	if ends, binding, ok := s.MaxThreaded(); ends != 440 || binding != "loom width" || !ok {
		t.Errorf("%d ends by %s, %v", ends, binding, ok)
	}
	s.Limits.Heddles = 439
	if ends, binding, _ := s.MaxThreaded(); ends != 436 || binding != "heddles" {
		t.Errorf("%d ends by %s", ends, binding)
	}
	if _, _, ok := towels().MaxThreaded(); ok {
		t.Error("no limit is known")
	}
}

// Ceilings: Peirce 1937, J. Text. Inst. 28, T45.
func TestTakeUpBeyondJammedPlainClothWarns(t *testing.T) {
	s := scarf()
	s.Cloth.Plain, s.Cloth.Picks = true, s.Cloth.Sett
	s.Losses.WarpTakeUp = 209_200
	if w := mustNeed(t, s).Warnings; len(w) != 0 {
		t.Errorf("20.92%% is possible: %v", w)
	}
	s.Losses.WarpTakeUp, s.Losses.WeftTakeUp = 209_300, 209_300
	if w := mustNeed(t, s).Warnings; len(w) != 2 || w[0].Code != "take-up" {
		t.Errorf("20.93%% in a balanced plain weave: %v", w)
	}
	s.Cloth.Picks = 2 * s.Cloth.Sett
	if w := mustNeed(t, s).Warnings; len(w) != 0 {
		t.Errorf("the cloth is not balanced: %v", w)
	}
}

func TestOddPlansWarn(t *testing.T) {
	s := towels()
	s.Edges = EdgePlan{}
	if w := mustNeed(t, s).Warnings; len(w) != 1 || w[0].Code != "edge" {
		t.Errorf("no edge finish: %v", w)
	}
	s = towels()
	s.Ends.Modulus = 300
	if w := mustNeed(t, s).Warnings; len(w) != 1 || w[0].Code != "modulus" {
		t.Errorf("600 ends for 437: %v", w)
	}
}

func TestRefusedQuestionsOfTheLines(t *testing.T) {
	s := towels()
	_, err := s.WeftLine(0)
	refuses(t, "ends", err)
	_, err = NeedForEnds(s, 0)
	refuses(t, "ends", err)
	s.Weft.MassPerArea = measure.Kilogram
	_, err = s.WeftLine(440)
	refuses(t, "weft.mass_per_area", err)
	s.Pieces = 0
	_, err = s.WarpLine()
	refuses(t, "pieces", err)
}
