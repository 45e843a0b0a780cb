package next

import (
	"testing"
	"time"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestTheOrderInWhichToTakeThemUp(t *testing.T) {
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	old, young := stash.Package{ID: "old"}, stash.Package{ID: "young"}
	old.Acquired, young.Acquired = "2018", "2025"
	s := making.Shelf{Now: now, Packages: []stash.Package{old, young}}
	chance := func(p float64) *float64 { return &p }
	open := func(name, due string, grade verdict.Grade, takes stash.PackageID, p float64) Open {
		o := Open{Verdict: verdict.Verdict{Grade: grade},
			Takes: []stash.Allotment{{Package: takes, Mass: 100 * measure.Gram}}, Chance: chance(p)}
		o.Project.Name, o.Project.Due = name, due
		return o
	}
	onTheLoom := open("on the loom", "", verdict.No, "young", 0.1)
	onTheLoom.Piece = &stash.Piece{State: stash.OnLoom}
	unplanned := open("cannot be planned", "2026-03-02", "", "", 0)
	unplanned.Why = "no yarn"
	all := []Open{
		unplanned, open("unlikely", "", verdict.No, "young", 0.01),
		open("nearly", "", verdict.No, "young", 0.4), open("promised and short", "2026-03-20",
			verdict.No, "young", 0.2),
		open("fits", "", verdict.Yes, "young", 1), open("uses up what is old", "", verdict.Check,
			"old", 0.9), open("promised far ahead", "2027-01", verdict.Yes, "young", 0.99),
		open("promised later", "2026-04-20", verdict.Yes, "young", 1),
		open("promised soon", "2026-03-20", verdict.Check, "young", 1), onTheLoom,
	}
	want := []string{"on the loom", "promised soon", "promised later", "uses up what is old",
		"fits", "promised far ahead", "promised and short", "nearly", "unlikely",
		"cannot be planned"}
	ranked := Rank(s, all)
	if len(ranked) != len(want) {
		t.Fatalf("%d of %d are ranked", len(ranked), len(want))
	}
	for i, o := range ranked {
		if o.Project.Name != want[i] {
			t.Errorf("place %d is %q, want %q", i+1, o.Project.Name, want[i])
		}
		if old := o.Project.Name == "uses up what is old"; old != (o.Lain > 0) || old &&
			o.Longest != 7 {
			t.Errorf("%s: %d mg lain for %d years", o.Project.Name, o.Lain, o.Longest)
		}
	}
}
