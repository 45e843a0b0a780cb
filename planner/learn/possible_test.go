package learn

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Whatever is measured of a piece, no figure is learned from it that no piece can have:
// what could not be is left out, and named.
func TestNoFigureIsLearnedThatNoPieceCanHave(t *testing.T) {
	learned, left := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		q := scarf("oat", "slate")
		near := rapid.Bool().Draw(t, "near what a piece is") // of any lengths hardly a figure is learned
		length := func(what string, most int) measure.Length {
			least := 0
			if near {
				least, most = most*5/8, most*3/4
			}
			return measure.Length(rapid.IntRange(least, most).Draw(t, what))
		}
		m := stash.Measures{Tape: length("tape", 2600), OffLoom: length("off", 2600),
			Length: length("length", 2600), Width: length("width", 700),
			OffWidth: length("off width", 700), Reed: length("reed", 700),
			Waste: length("waste", 900), Wound: length("wound", 3000)}
		set := Losses(q, []stash.Piece{woven(q, m)}, shelf())
		left += len(set.LeftOut)
		for _, l := range set.LeftOut {
			if l.Name == stretch && m.OffLoom > 0 && !set.ShrinkLength.FromPrior ||
				l.Name == drawIn && m.OffWidth > 0 && !set.ShrinkWidth.FromPrior {
				t.Fatalf("%s cannot be, and what rests on it is learned from %+v", l.Name, m)
			}
		}
		for _, f := range set.Figures() {
			if f.FromPrior || f.Given {
				continue
			}
			learned++
			if got := f.Value.Float(); got < leastBelieved && f.Name != beaten || got > mostBelieved {
				t.Fatalf("%s of %v is learned from %+v", f.Name, f.Value, m)
			}
		}
	})
	if learned < 50 || left < 50 { // of some 130 and 360
		t.Fatalf("%d figures learned, %d measures left out: the test shows nothing", learned, left)
	}
}

// A warp of which less was woven in than the cloth is long has a take-up below nothing.
func TestATakeUpBelowNothingIsNotLearned(t *testing.T) {
	q := scarf("oat", "slate")
	set := Losses(q, []stash.Piece{woven(q, stash.Measures{Tape: 1850, OffLoom: 1800, Length: 1600,
		Wound: 2450, Waste: 700})}, shelf())
	for _, l := range set.LeftOut {
		if l.Name == crimpWarp {
			return
		}
	}
	t.Fatalf("take-up %v, left out %+v", set.TakeUp.Value, set.LeftOut)
}

// A cotton that loses nothing in washing was measured before it, or so it looks: once its
// weaver says that it is right, and has more of it, she is not asked again. Of linen, which
// loses about 2 %, it is no wonder (linen towels: common practice, no source).
func TestAClothThatLosesNothingIsAskedAboutOnce(t *testing.T) {
	lost := func(q Question, before int) bool {
		p := woven(q, stash.Measures{Tape: 2050, OffLoom: 2000, Length: 2000})
		w := NewWeaver(slices.Repeat([]stash.Piece{p}, before), shelf())
		return slices.ContainsFunc(w.Jumps(p, measure.Metric),
			func(l LeftOut) bool { return strings.Contains(l.Why, "lost nothing") })
	}
	cotton := scarf("chalk", "slate")
	if !lost(cotton, 0) {
		t.Error("the first is not asked about")
	}
	if lost(cotton, 2) {
		t.Error("the third is asked about again")
	}
	if lost(scarf("flax", "slate"), 0) {
		t.Error("a linen is asked about")
	}
}
