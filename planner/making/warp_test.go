package making

import (
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Two pieces of one project on a warp are planned as a warp of two pieces is: the same
// ends, the same length but for what is rounded.
func TestTwoOfAProjectOnOneWarpAreAWarpOfTwoPieces(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 400))
	for name, change := range map[string]func(*stash.ProjectFacts){
		"fringed": func(*stash.ProjectFacts) {},
		"hemmed":  func(b *stash.ProjectFacts) { b.Fringe, b.Hem = 0, 60 },
		"long fringe, sampled": func(b *stash.ProjectFacts) {
			b.Fringe, b.Sample = 500, 200
		},
	} {
		b := scarf()
		change(&b)
		two := b
		two.Pieces = 2
		want := planned(t, s, two)
		w, err := PlanWarp(s, []stash.ProjectFacts{b, b}, 0)
		if err != nil {
			t.Fatal(err)
		}
		end := want.Needs.WarpEnd
		if b.Sample > 0 {
			end += b.Sample // each project has its own
		}
		if off := w.End - end; off < -4 || off > 4+w.Outcomes[0].Needs.Spec.Loom.Margin*2 ||
			w.Ends != want.Needs.Ends {
			t.Errorf("%s: %d ends of %d mm, as two pieces %d of %d", name, w.Ends, w.End,
				want.Needs.Ends, end)
		}
	}
}

// Whatever is wound is in some piece: the parts add up to whole ends, a narrower piece
// has the ends that it leaves idle, and a longer one has more of the waste.
func TestAllThatIsWoundIsInSomePiece(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 400))
	wide, narrow := scarf(), scarf()
	narrow.Name, narrow.Width, narrow.Length, narrow.Fringe, narrow.Hem = "mat", 150, 400, 0, 40
	for _, order := range [][]stash.ProjectFacts{{wide, narrow}, {narrow, wide},
		{narrow, wide, narrow}} {
		w, err := PlanWarp(s, order, 30)
		if err != nil {
			t.Fatal(err)
		}
		var ends int
		var warp, parts, weft measure.Length
		for i, p := range w.Records("warp") {
			parts += p.WarpEnd
			for _, a := range p.Allotments {
				warp += a.Warp
				weft += a.Weft
				if i == 0 {
					ends += a.Ends
				}
			}
			if p.Shared.Place != i+1 || p.Shared.Of != len(order) || p.WarpEnds() != w.Ends {
				t.Errorf("piece %d: %+v", i, p.Shared)
			}
			if i > 0 && p.Ends > p.Shared.Ends {
				t.Errorf("piece %d has %d of %d ends", i, p.Ends, p.Shared.Ends)
			}
		}
		if parts != w.End || ends != w.Ends || warp != measure.Length(w.Ends)*w.End {
			t.Errorf("parts %d of %d mm, %d of %d ends, %d mm of warp", parts, w.End, ends, w.Ends,
				warp)
		}
		if weft <= 0 || w.Waste < 600-100 {
			t.Errorf("weft %d, waste %d", weft, w.Waste)
		}
	}
}

func TestWhatCannotShareAWarpIsRefused(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 400))
	for name, change := range map[string]func(*stash.ProjectFacts){
		"another warp yarn": func(b *stash.ProjectFacts) { b.Warp = yarnRef(wool) },
		"another sett":      func(b *stash.ProjectFacts) { b.Sett = 6 * measure.PerCentimetre },
		"floats":            func(b *stash.ProjectFacts) { b.FloatingSelvedges = 2 },
		"double ends":       func(b *stash.ProjectFacts) { b.EndStrands = 2 },
		"no size":           func(b *stash.ProjectFacts) { b.Width = 0 },
	} {
		b := scarf()
		change(&b)
		if _, err := PlanWarp(s, []stash.ProjectFacts{scarf(), b}, 0); err == nil {
			t.Errorf("%s is planned", name)
		}
	}
	s.Settings.LongestWarp = 3000
	if _, err := PlanWarp(s, []stash.ProjectFacts{scarf(), scarf()}, 0); err == nil {
		t.Error("a warp longer than the loom takes is planned")
	}
}

// Not enough warp for all is said of the first, which binds the warp.
func TestTooLittleWarpForAllIsShort(t *testing.T) {
	s := stock(t, of("c", cotton, 130), of("w", wool, 400))
	if o := planned(t, s, scarf()); !o.Fits() {
		t.Fatal("one alone does not fit")
	}
	w, err := PlanWarp(s, []stash.ProjectFacts{scarf(), scarf()}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if w.Outcomes[0].Fits() {
		t.Errorf("two fit on %d ends of %d mm", w.Ends, w.End)
	}
}

// When the tension goes the web loses what the yarn loses, and the bending that comes back.
func TestAProjectWhoseLossesCannotBeIsRefused(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("w", wool, 500))
	for _, c := range []struct {
		stretch, strain, takeUp int64
		says                    string // empty where it can be
	}{
		{4, 3, 5, ""}, {4, 4, 5, ""}, {4, 5, 5, "cannot both be true"},
		{4, 0, 5, ""}, {40, 1, 2, "cannot all be true"}, {8, 2, 5, "cannot all be true"},
	} {
		b := scarf()
		b.Stretch, b.Strain, b.TakeUp = percentage(c.stretch), percentage(c.strain),
			percentage(c.takeUp)
		_, err := Plan(s, b)
		if c.says == "" && err != nil || c.says != "" &&
			(err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("stretch %d%%, strain %d%%, take-up %d%%: %v", c.stretch, c.strain, c.takeUp,
				err)
		}
	}
}
