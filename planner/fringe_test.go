package planner

import (
	"math"
	"slices"
	"testing"

	"endsmeet/stash/measure"
	"pgregory.net/rapid"
)

// A strand that lies at an angle to its bunch is 1/cos of it as long: 20 degrees 1.06,
// 30 degrees 1.15, 35 degrees 1.22, 45 degrees 1.41 (geometry of a helix).
func TestAWorkedFringeIsAsLongAsTheHelixSays(t *testing.T) {
	for angle, times := range map[float64]float64{20: 1.06, 25: 1.10, 30: 1.15, 35: 1.22, 40: 1.31,
		45: 1.41} {
		loss := measure.RatioOf(1 - 1/times)
		end := End{Twist: Twist{Kind: Braided, Finished: 1000, Loss: loss}}
		if got := float64(end.Raw()) / 1000; math.Abs(got-times) > 0.002 {
			t.Errorf("at %.0f degrees cut %.3f times, want %.2f", angle, got, times)
		}
		if got := end.Twist.angle(); math.Abs(got-angle) > 0.7 {
			t.Errorf("%s lost lies at %.1f degrees, want %.0f", loss, got, angle)
		}
	}
}

// An openly knotted fringe takes two thirds more: 6 in of it need 10 in of warp (an old
// needlework text on making fringes).
func TestAnOpenlyKnottedFringeTakesTwoThirdsMore(t *testing.T) {
	end := End{Twist: Twist{Kind: Knotted, Finished: 152, Loss: 40 * measure.Percent}}
	if raw := end.Raw(); raw < 253 || raw > 255 { // 10 in are 254 mm
		t.Errorf("6 in knotted are cut %d mm, want 254", raw)
	}
}

func TestEachEndIsCutForItself(t *testing.T) {
	s := towels()
	s.Pieces, s.Edges = 2, EdgePlan{Twist: Twist{Finished: 12 * cm, Loss: 20 * measure.Percent,
		Knot: 3 * cm, Trim: 1 * cm}, Other: &End{Fringe: 5 * cm}}
	s.Loom.Front, s.Loom.Back = 15*cm, 45*cm
	n := mustNeed(t, s)
	if got := line(n.Warp, "front fringe"); got != 5*cm { // (120 + 30 + 10) / 0.8 - 150
		t.Errorf("front fringe %d mm, want 50", got)
	}
	if got := line(n.Warp, "back fringe"); got != 0 {
		t.Errorf("back fringe %d mm, want none: 5 cm are less than the waste", got)
	}
	if got := line(n.Warp, "between pieces"); got != 25*cm {
		t.Errorf("between pieces %d mm, want 200 + 50", got)
	}
}

// Whatever the bunches, no end is lost, and every way keeps each bunch within reach of a
// full one.
func TestEveryEndOfAWarpIsInSomeBunch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]FringeKind{Raw, Knotted, Twisted, Braided}).Draw(t, "kind")
		q := EdgeQuestion{
			Ends: rapid.IntRange(1, 900).Draw(t, "ends"), Floats: 2 * rapid.IntRange(0, 1).Draw(t,
				"floats"),
			Group: rapid.IntRange(1, 9).Draw(t, "group"),
			End:   End{Twist: Twist{Kind: kind, Finished: 10 * cm}},
		}
		a, err := answerEdges(q)
		if err != nil {
			t.Fatal(err)
		}
		if a.Kind == Braided && a.Bunches != q.Ends/q.Group/3 {
			t.Fatalf("%d ends in %d braids", q.Ends, a.Bunches)
		}
		for _, l := range a.Layouts {
			if endsIn(l) != q.Ends+q.Floats {
				t.Fatalf("%s: %d of %d ends", l.Way, endsIn(l), q.Ends+q.Floats)
			}
			for _, b := range l.Bunches {
				if len(b) == 0 || slices.Contains(b, 0) {
					t.Fatalf("%s has an empty group: %v", l.Way, l.Bunches)
				}
			}
		}
		if over := q.Ends - a.Bunches*q.Group*kindGroups(a.Kind); over != a.SpareGroups*q.Group+a.SpareEnds {
			t.Fatalf("%d over, said %d groups and %d ends", over, a.SpareGroups, a.SpareEnds)
		}
	})
}

func kindGroups(k FringeKind) int {
	if k == Raw {
		return 2
	}
	return k.Groups()
}
