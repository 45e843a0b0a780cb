package verdict

import (
	"fmt"
	"strings"
	"testing"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ofLots is a shelf with two balls of warp of different lots, plenty of one weft, next to none
// of another and one of unknown length.
func ofLots(t *testing.T, a, b measure.Mass) making.Shelf {
	s := shelf(yarn(t, "warp", "cotton 100"), yarn(t, "warp", "cotton 100"),
		yarn(t, "weft", "cotton 100"), yarn(t, "none", "cotton 100"), yarn(t, "unknown", "cotton 100"))
	unknown := s.Yarns["id of unknown"]
	unknown.Count = nil
	s.Yarns[unknown.ID] = unknown
	for i, held := range []measure.Mass{a, b, 5000 * measure.Gram, measure.Gram} {
		s.Packages[i].Held = held
	}
	s.Packages[0].Lot, s.Packages[1].Lot, s.Packages[1].ID, s.Packages[1].Tag = "A", "B", "other", "other"
	return s
}

// meeting is the grade of the lots that meet in the plan of a project, empty where none do.
func meeting(t *testing.T, s making.Shelf, b stash.ProjectFacts, weft ...stash.Ref) (making.Outcome, Grade) {
	t.Helper()
	b.Weft = weft
	o, err := making.Plan(s, b)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := OfPlan(s, o, Whom{}).Of(Lots)
	for _, r := range a.Reasons {
		if r.Check == "lots meet" && !strings.Contains(r.Why, "goes on") {
			return o, r.Grade
		}
	}
	return o, ""
}

// Where there is next to no weft, none at all, or one of unknown length, what the dye lots of
// the warp do is answered as with weft enough.
func TestNoShortageHidesTheDyeLotsOfTheOtherRole(t *testing.T) {
	no, met, apart := false, 0, 0
	for _, grams := range [][2]measure.Mass{{30, 40}, {25, 90}, {28, 28}, {100, 100}} {
		for _, mix := range []*bool{nil, &no} {
			s := ofLots(t, grams[0]*measure.Gram, grams[1]*measure.Gram)
			b := stash.ProjectFacts{Name: "p", Sett: 4 * measure.PerCentimetre,
				Picks: 4 * measure.PerCentimetre, Structure: "plain", Width: 400, Length: 1200,
				Warp: []stash.Ref{{Yarn: "id of warp"}}, MixLots: mix}
			o, enough := meeting(t, s, b, stash.Ref{Yarn: "id of weft"})
			if !o.Fits() && mix == nil {
				t.Fatalf("%v: the warp is short", grams)
			}
			for _, weft := range [][]stash.Ref{{{Yarn: "id of none"}}, {{Yarn: "id of unknown"}}, nil} {
				name := fmt.Sprint(grams, weft, mix != nil)
				switch o, short := meeting(t, s, b, weft...); {
				case o.Fits():
					t.Errorf("%s: fits", name)
				case short != enough:
					t.Errorf("%s: %q, with enough weft %q", name, short, enough)
				case short == "":
					apart++
				default:
					met++
				}
			}
		}
	}
	if met == 0 || apart == 0 {
		t.Errorf("%d warps of lots that meet, %d of one", met, apart)
	}
}
