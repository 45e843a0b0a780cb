package planner

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// TestABoundEdgeTakesTwoWidthsAndATwentieth holds the yarn of bound edges against the
// width of the web: two edges of 40 cm of web take 4 × 40 cm and 5 % of that.
func TestABoundEdgeTakesTwoWidthsAndATwentieth(t *testing.T) {
	s := towels()
	s.Edges, s.Losses.DrawIn = EdgePlan{}, 0
	s.Edges.Finished[Binding], s.Pieces = 2, 1
	n, err := NeedForEnds(s, int(400*int64(s.Cloth.Sett)/mmPerKm))
	if err != nil {
		t.Fatal(err)
	}
	if n.ClothWidth != 400 {
		t.Fatalf("the case is to have 40 cm of web, not %d mm", n.ClothWidth)
	}
	for _, line := range n.Weft {
		if line.Name == "bound edges" {
			if line.Length != 1680 {
				t.Errorf("%d mm, want 1680", line.Length)
			}
			return
		}
	}
	t.Error("no line for the bound edges")
}

func TestAnEndOfAPieceIsFinishedOneWay(t *testing.T) {
	s := towels()
	s.Edges.Finished[HemStitching], s.Edges.Finished[Binding] = 2, 1
	if _, err := Need(s); err == nil {
		t.Error("three finished ends of one piece were taken")
	}
}

// TestTheWeftOfAWiderWebIsABound holds the weft across a web of any width against that
// of the ends that make it: exactly, with every finish, and more for a wider web.
func TestTheWeftOfAWiderWebIsABound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := towels()
		s.Pieces = rapid.IntRange(1, 3).Draw(t, "pieces")
		s.Weft.Strands, s.Weft.Clasped = rapid.IntRange(1, 2).Draw(t, "strands"),
			rapid.Bool().Draw(t, "clasped")
		s.Weft.OnReedWidth = rapid.Bool().Draw(t, "on the reed's width")
		s.Losses.DrawIn = measure.Ratio(rapid.IntRange(0, 15).Draw(t, "draw-in")) * measure.Percent
		s.Losses.WeftTakeUp = measure.Ratio(rapid.IntRange(0, 15).Draw(t,
			"take-up")) * measure.Percent
		s.Loom.Sample, s.Loom.SampleInWeft = measure.Length(rapid.IntRange(0, 200).Draw(t,
			"sample")), true
		s.Loom.HeaderWeft = measure.Length(rapid.IntRange(0, 3000).Draw(t, "header"))
		s.Weft.Joins, s.Weft.Overlap = rapid.IntRange(0, 4).Draw(t, "joins"), 30
		f := EdgeFinish(rapid.IntRange(0, int(Finishes)-1).Draw(t, "finish"))
		s.Edges.Finished[f] = rapid.IntRange(0, 2).Draw(t, "edges")
		threaded := rapid.IntRange(10, 2000).Draw(t, "ends")
		lf := measure.Length(rapid.IntRange(100, 3000).Draw(t, "length"))
		exact, err := s.WeftLine(threaded)
		if err != nil {
			t.Fatal(err)
		}
		web := s.web(threaded)
		low, high := s.WeftAcross(measure.Length(web.floor(1))),
			s.WeftAcross(measure.Length(web.ceil(1)))
		if need := exact.Need(lf); low.Need(lf) > need || need > high.Need(lf) {
			t.Errorf("from %d to %d mm, exactly %d", low.Need(lf), high.Need(lf), need)
		}
		s.Size.Length = lf
		n, err := NeedForEnds(s, threaded)
		if err != nil || n.WeftTotal != exact.Need(lf) {
			t.Errorf("the lines add up to %d mm, the line says %d, %v", n.WeftTotal, exact.Need(lf),
				err)
		}
	})
}

func TestRagsGoByTheAreaOfEveryPiece(t *testing.T) {
	s := towels()
	s.Weft.MassPerArea, s.Pieces = 1500*measure.Gram, 2
	s.Edges, s.Size.Length = EdgePlan{}, 1000
	if got := s.RagsFor(500); got != 1500*measure.Gram { // two pieces of half a square metre
		t.Errorf("%d mg", got)
	}
}

// An end that is bound is not asked about; one that is hem-stitched alone lies cut.
func TestOnlyACutEdgeIsAskedAbout(t *testing.T) {
	asked := func(f EdgeFinish, ends int) bool {
		s := towels()
		s.Edges = EdgePlan{}
		s.Edges.Finished[f] = ends
		n, err := Need(s)
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(n.Warnings, func(w Warning) bool { return w.Code == "edge" })
	}
	for finish := range Finishes {
		row := finishTable[finish]
		if row.name == "" || row.field == "" || row.widths == 0 || row.source == "" {
			t.Errorf("finish %d has no row that says what it takes: %+v", finish, row)
		}
		if asked(finish, 2) != (finish == HemStitching) {
			t.Errorf("%s: asked %v", finishTable[finish].name, finish != HemStitching)
		}
		if !asked(finish, 1) {
			t.Errorf("%s: the other end is not asked about", finishTable[finish].name)
		}
	}
}
