package planner

import (
	"testing"

	"endsmeet/stash/measure"
)

// line finds one line of a sum, or zero.
func line(lines []Allowance, name string) measure.Length {
	for _, l := range lines {
		if l.Name == name {
			return l.Length
		}
	}
	return 0
}

func TestFringeIsCutFromTheWasteWhereItCan(t *testing.T) {
	n := mustNeed(t, scarf())
	if line(n.Warp, "front fringe") != 160 || line(n.Warp, "back waste") != 450 ||
		line(n.Warp, "back fringe") != 0 {
		t.Errorf("lines: %v", n.Warp)
	}
}

func TestPiecesOnOneWarpShareWasteAndSample(t *testing.T) {
	s := scarf()
	s.Pieces, s.Loom.Sample, s.Loom.HeaderWarp = 3, 25*cm, 5*cm
	n := mustNeed(t, s)
	if line(n.Warp, "between pieces") != 4*16*cm || line(n.Warp, "sample") != 25*cm ||
		line(n.Warp, "header") != 5*cm {
		t.Errorf("lines: %v", n.Warp)
	}
	s.Loom.Gap = 40 * cm
	if got := line(mustNeed(t, s).Warp, "between pieces"); got != 80*cm {
		t.Errorf("gap of 40 cm twice: %d mm", got)
	}
}

func TestClaspedWeftLaysTwoStrandsInEveryShed(t *testing.T) {
	s := scarf()
	single := line(mustNeed(t, s).Weft, "picks")
	s.Weft.Clasped = true
	clasped := line(mustNeed(t, s).Weft, "picks")
	if d := 2*single - clasped; d < 0 || d > 1 { // each rounded up
		t.Errorf("clasped %d mm, single %d mm", clasped, single)
	}
}

func TestLoopsOfTwoAreWoundInPairs(t *testing.T) {
	s := scarf()
	odd, err := NeedForEnds(s, 141)
	if err != nil {
		t.Fatal(err)
	}
	s.Ends.Loops = true
	even, err := NeedForEnds(s, 141)
	if err != nil {
		t.Fatal(err)
	}
	if odd.Windings != 141 || even.Windings != 142 || even.Ends != 141 ||
		even.WarpTotal != 142*even.WarpEnd {
		t.Errorf("single %d, loops %d for %d ends", odd.Windings, even.Windings, even.Ends)
	}
}

// Four cloth widths for each edge: common practice, no source (a studio
// glossary prints 3 to 4 times the weaving width).
func TestHemStitchingTakesFourClothWidths(t *testing.T) {
	s := scarf()
	s.Pieces, s.Edges.Finished[HemStitching], s.Losses.DrawIn = 2, 2, 5*measure.Percent
	n, err := NeedForEnds(s, 140)
	if err != nil {
		t.Fatal(err)
	}
	if n.HemstitchPerEdge != 4*266 || n.HemstitchTotal != 4*n.HemstitchPerEdge ||
		line(n.Weft, "hem-stitching") != n.HemstitchTotal {
		t.Errorf("hem-stitching %d an edge, %d in all: %v", n.HemstitchPerEdge, n.HemstitchTotal, n.Weft)
	}
}

func TestWeftOnReedWidthLeavesDrawInOut(t *testing.T) {
	s := scarf()
	s.Losses.DrawIn = 5 * measure.Percent
	cloth, _ := NeedForEnds(s, 140)
	s.Weft.OnReedWidth = true
	reed, err := NeedForEnds(s, 140)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "cloth / reed", float64(cloth.WeftTotal)/float64(reed.WeftTotal), 0.95, 0.00001)
	if cloth.FinishedWidth != reed.FinishedWidth {
		t.Error("how the weft is reckoned does not change the cloth")
	}
}

func TestJoinsAndHeaderCostWeft(t *testing.T) {
	s := scarf()
	s.Weft.Joins, s.Weft.Overlap, s.Loom.HeaderWeft = 5, 50, 2*m
	n := mustNeed(t, s)
	if line(n.Weft, "joins") != 250 || line(n.Weft, "header") != 2*m {
		t.Errorf("lines: %v", n.Weft)
	}
}

// 15 to 25 % twist loss and 1 cm trim are starting figures (common practice, no source).
func TestTwistedFringe(t *testing.T) {
	s := scarf()
	s.Edges = EdgePlan{Twist: Twist{Finished: 12 * cm, Loss: 20 * measure.Percent, Knot: 3 * cm,
		Trim: 1 * cm}}
	n := mustNeed(t, s)
	if n.RawFringe != 200 || line(n.Warp, "front fringe") != 200 {
		t.Errorf("raw fringe %d mm, want (120 + 30 + 10) / 0.8 = 200", n.RawFringe)
	}
}

func TestEndsBelowAreShown(t *testing.T) {
	n, err := NeedForEnds(towels(), 436)
	if err != nil || n.ThreadedBelow != 432 || n.FinishedWidth != 479 {
		t.Errorf("below 436: %d, %d mm, %v", n.ThreadedBelow, n.FinishedWidth, err)
	}
}

var sink Needs

func BenchmarkNeed(b *testing.B) {
	s := towels()
	for b.Loop() {
		sink, _ = Need(s)
	}
}

func BenchmarkLines(b *testing.B) {
	weft, _ := towels().WeftLine(440)
	for b.Loop() {
		weft.MaxLength(weft.Need(700))
	}
}
