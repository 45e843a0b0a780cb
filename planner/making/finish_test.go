package making

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func net(id string, grams measure.Mass) stash.Weighed {
	mass := grams * measure.Gram
	return stash.Weighed{Package: stash.PackageID(id), Reading: stash.Reading{Net: &mass}}
}

// sums of what a finish debits, by package and by role.
func debited(f stash.Finish, id string, role stash.Role) (sum measure.Mass) {
	for _, d := range f.Debits {
		if (id == "" || d.Package == stash.PackageID(id)) && (role == "" || d.Role == role) {
			sum += d.Mass
		}
	}
	return sum
}

func finished(t testing.TB, s Shelf, piece stash.Piece, in FinishInput) stash.Finish {
	t.Helper()
	f, err := s.Finish(piece, in)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// near says whether a mass is within a milligram of mg.
func near(m measure.Mass, mg int64) bool {
	return m-measure.Mass(mg) <= 1 && measure.Mass(mg)-m <= 1
}

func TestFinish(t *testing.T) {
	s := stock(t, of("c", cotton, 300), of("w", wool, 100), of("w2", wool, 100))
	piece := onLoom(t, s, scarf()) // 617.28 m of warp are 91.132 g, 378 m of weft 83.709 g

	t.Run("packages that are not weighed are debited by the plan, marked as computed",
		func(t *testing.T) {
			f := finished(t, s, piece, FinishInput{})
			if !near(debited(f, "c", stash.RoleWarp), 91_132) ||
				!near(debited(f, "", stash.RoleWeft), 83_709) {
				t.Errorf("%+v", f.Debits)
			}
			if slices.ContainsFunc(f.Debits, func(d stash.Debit) bool { return d.Measured }) {
				t.Errorf("marked as measured: %+v", f.Debits)
			}
		})
	t.Run("a package that is weighed is debited by what is missing", func(t *testing.T) {
		f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net("c", 205)}})
		if debited(f, "c", "") != 95*measure.Gram || !f.Debits[0].Measured {
			t.Errorf("%+v", f.Debits)
		}
	})
	t.Run("computed weft follows the length woven, warp does not", func(t *testing.T) {
		f := finished(t, s, piece, FinishInput{Measures: stash.Measures{Tape: 1050}})
		if !near(debited(f, "", stash.RoleWeft), 83_709/2) ||
			!near(debited(f, "", stash.RoleWarp), 91_132) {
			t.Errorf("%+v", f.Debits)
		}
	})
	t.Run("computed warp follows the ends, weft the picks and the width", func(t *testing.T) {
		ends, picks := piece.Plan.Ends, piece.Plan.Picks
		for _, c := range []struct {
			m          stash.Measures
			warp, weft int64
		}{
			{stash.Measures{Picks: picks / 2}, 91_132, 83_709 / 2},
			{stash.Measures{Ends: ends / 2}, 91_132 / 2, 83_709 / 2},
			{stash.Measures{Ends: ends / 2, Picks: picks / 2}, 91_132 / 2, 83_709 / 4},
			{stash.Measures{Ends: ends / 2, Reed: piece.Plan.ReedWidth}, 91_132 / 2, 83_709},
			{stash.Measures{Picks: picks / 2, Tape: piece.Plan.Tape}, 91_132, 83_709 / 2},
		} {
			f := finished(t, s, piece, FinishInput{Measures: c.m})
			if !near(debited(f, "c", stash.RoleWarp), c.warp) ||
				!near(debited(f, "", stash.RoleWeft), c.weft) {
				t.Errorf("%+v: %+v", c.m, f.Debits)
			}
		}
	})
	t.Run("another ball stands in for what was really woven, not for what was planned",
		func(t *testing.T) {
			other := "w2"
			if slices.ContainsFunc(piece.Plan.Allotments,
				func(a stash.Allotment) bool { return a.Package == "w2" }) {
				other = "w"
			}
			f := finished(t, s, piece, FinishInput{Measures: stash.Measures{Tape: 1050},
				Weighed: []stash.Weighed{net(other, 70)}})
			if !near(debited(f, "", stash.RoleWeft), 83_709/2) {
				t.Errorf("%+v", f.Debits)
			}
		})
	t.Run("yarn of another kind stands in for weft by its length, and for warp of its stripe",
		func(t *testing.T) {
			s := stock(t, of("c", cotton, 300), of("d", cotton, 300, coloured("slate")),
				of("w", wool, 300), of("e", "ecru", 100))
			ecru := s.Yarns[cotton]
			ecru.ID, ecru.Name = "ecru", "Ecru cotton"
			s.Yarns["ecru"] = ecru
			b := scarf()
			b.Warp = []stash.Ref{{Package: "c"}, {Package: "d"}}
			b.Stripes = []stash.Stripe{{Colour: "slate", Ends: 1}, {Colour: "Ossentarn cotton", Ends: 1}}
			b.StripeRule = stash.StripesProportional
			piece := onLoom(t, s, b)
			all := finished(t, s, piece, FinishInput{})
			weft, warp := debited(all, "w", ""), debited(all, "", stash.RoleWarp)
			for _, grams := range []measure.Mass{1, 20, 40, 90} {
				f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net("e", 100-grams)}})
				// by length: a gram of the wool is as long as two thirds of the cotton
				want := max(0, weft-grams*measure.Gram*221_453/147_635)
				if !near(debited(f, "w", ""), int64(want)) || debited(f, "", stash.RoleWarp) != warp {
					t.Errorf("%d g: %+v", grams, f.Debits)
				}
			}
			slate := debited(all, "d", "")
			s.Packages = append(s.Packages, of("d2", cotton, 100, coloured("slate")))
			f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net("d2", 0)}})
			if debited(f, "d", "") != 0 || slate == 0 || debited(f, "c", "") != debited(all, "c", "") {
				t.Errorf("another slate ball: %+v", f.Debits)
			}
		})
	t.Run("rags without a count are debited by mass, of a length that is not known",
		func(t *testing.T) {
			b := scarf()
			b.Weft, b.RagPerM2 = yarnRef("rags"), 1500*measure.Gram
			s := stock(t, of("c", cotton, 300), of("r", "rags", 3000))
			s.Yarns["rags"] = stash.Yarn{ID: "rags", YarnFacts: stash.YarnFacts{Name: "rags"}}
			f := finished(t, s, onLoom(t, s, b), FinishInput{})
			if !near(debited(f, "r", stash.RoleWeft), 810_000) {
				t.Errorf("%+v", f.Debits)
			}
			for _, d := range f.Debits {
				if (d.Length == 0) != (d.Package == "r") {
					t.Errorf("%+v", d)
				}
			}
			b.Warp = yarnRef("rags")
			if o := planned(t, s, b); o.Verdict != "unknown" || len(o.UnknownLengths) != 1 {
				t.Errorf("a warp without a count: %s, %v", o.Verdict, o.UnknownLengths)
			}
		})
	t.Run("of a piece forced onto the loom what there is is reserved, and only what was weighed is debited", func(t *testing.T) {
		s := stock(t, of("c", cotton, 50), of("w", wool, 100)) // 92 g of warp are wanted
		piece := onLoom(t, s, scarf())
		plan := piece.Plan
		if !plan.Short || len(plan.Allotments) != 2 || plan.Allotments[0].Mass > 50*measure.Gram ||
			plan.Allotments[0].Mass < 49*measure.Gram || !near(plan.Allotments[1].Mass, 83_709) {
			t.Fatalf("%+v", plan.Allotments)
		}
		if _, err := s.Finish(piece, FinishInput{}); err == nil {
			t.Error("computed without knowing")
		}
		f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net("c", 10)}})
		if debited(f, "c", stash.RoleWarp) != 40*measure.Gram || debited(f, "w", "") != 0 {
			t.Errorf("%+v", f.Debits)
		}
	})
	t.Run("another ball of the weft, weighed, stands in for the one planned", func(t *testing.T) {
		other := "w2"
		if slices.ContainsFunc(piece.Plan.Allotments,
			func(a stash.Allotment) bool { return a.Package == "w2" }) {
			other = "w"
		}
		f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net(other, 50)}})
		if debited(f, other, stash.RoleWeft) != 50*measure.Gram ||
			!near(debited(f, "", stash.RoleWeft), 83_709) {
			t.Errorf("%+v", f.Debits)
		}
	})
	t.Run("another cone of the warp, weighed, gives warp and stands in for the one planned",
		func(t *testing.T) {
			s := stock(t, of("c", cotton, 300), of("c2", cotton, 90), of("w", wool, 100))
			piece := onLoom(t, s, scarf())
			if allotted(piece.Plan.Allotments, "c2") {
				t.Fatal("c2 is planned with")
			}
			f := finished(t, s, piece, FinishInput{Weighed: []stash.Weighed{net("c2", 60)}})
			if debited(f, "c2", stash.RoleWarp) != 30*measure.Gram ||
				!near(debited(f, "", stash.RoleWarp), 91_132) ||
				debited(f, "c2", stash.RoleWeft) != 0 {
				t.Errorf("%+v", f.Debits)
			}
		})
	t.Run("what a weighing on the loom debited is not debited again", func(t *testing.T) {
		s := stock(t, of("c", cotton, 300), of("w", wool, 100))
		piece := onLoom(t, s, scarf())
		for _, c := range []struct{ already, now int64 }{{40_000, 51_132}, {91_132, 0},
			{120_000, 0}} {
			s.Packages[0].UsedIn = map[stash.PieceID]measure.Mass{piece.ID: measure.Mass(c.already)}
			if f := finished(t, s, piece, FinishInput{}); !near(debited(f, "c", ""), c.now) {
				t.Errorf("%d mg before: %+v", c.already, f.Debits)
			}
		}
	})
	t.Run("one package of warp and weft is shared out by length, to the milligram",
		func(t *testing.T) {
			b := scarf()
			b.Weft = yarnRef(cotton)
			s := stock(t, of("c", cotton, 300))
			f := finished(t, s, onLoom(t, s, b),
				FinishInput{Weighed: []stash.Weighed{net("c", 143)}})
			if debited(f, "c", "") != 157*measure.Gram || debited(f, "c", stash.RoleWarp) == 0 ||
				debited(f, "c", stash.RoleWeft) == 0 {
				t.Errorf("%+v", f.Debits)
			}
		})
}

func TestFinishThrums(t *testing.T) {
	s := stock(t, of("c", cotton, 300, lot("4417"), coloured("oat")), of("w", wool, 100))
	piece := onLoom(t, s, scarf())
	t.Run("become a package of the warp's yarn, lot and colour, of short lengths",
		func(t *testing.T) {
			f := finished(t, s, piece,
				FinishInput{Thrums: []ThrumsInput{{ID: "t", Of: "c",
					Mass: 12 * measure.Gram}}})
			if len(f.Thrums) != 1 || f.Thrums[0].Mass != 12*measure.Gram {
				t.Fatalf("%+v", f.Thrums)
			}
			for name, want := range map[string]string{"yarn": `"cotton"`, "form": `"thrums"`,
				"lot": `"4417"`, "colour": `"oat"`, "longest": "450"} {
				if got := string(f.Thrums[0].Fields[name]); got != want {
					t.Errorf("%s is %s, want %s", name, got, want)
				}
			}
		})
	t.Run("are no heavier than the warp, and more than nothing", func(t *testing.T) {
		for _, grams := range []measure.Mass{-1, 0, 93} {
			if _, err := s.Finish(piece,
				FinishInput{Thrums: []ThrumsInput{{ID: "t", Of: "c",
					Mass: grams * measure.Gram}}}); err == nil {
				t.Errorf("%d g were accepted", grams)
			}
		}
		if _, err := s.Finish(piece,
			FinishInput{Thrums: []ThrumsInput{{ID: "t", Of: "w",
				Mass: measure.Gram}}}); err == nil {
			t.Error("thrums of the weft's yarn were accepted")
		}
	})
	t.Run("may come from what a weighing on the loom debited", func(t *testing.T) {
		s := stock(t, of("c", cotton, 300), of("w", wool, 100))
		s.Packages[0].UsedIn = map[stash.PieceID]measure.Mass{piece.ID: 100 * measure.Gram}
		if _, err := s.Finish(piece,
			FinishInput{Thrums: []ThrumsInput{{ID: "t", Of: "c",
				Mass: 20 * measure.Gram}}}); err != nil {
			t.Error(err)
		}
	})
}

func TestFinishRefuses(t *testing.T) {
	s := stock(t, of("c", cotton, 300), of("w", wool, 100))
	piece := onLoom(t, s, scarf())
	forced := piece
	plan := *piece.Plan
	plan.Allotments = nil
	forced.Plan = &plan
	cases := []struct {
		name, says string
		piece      stash.Piece
		in         FinishInput
	}{
		{"a package heavier than was recorded", "c weighs 10 g more than was recorded",
			piece, FinishInput{Weighed: []stash.Weighed{net("c", 310)}}},
		{"a piece that was never planned", "never planned", stash.Piece{Name: "scarf 1"},
			FinishInput{}},
		{"a piece of which nothing says what it took", "its use cannot be computed", forced,
			FinishInput{}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f, err := s.Finish(c.piece, c.in)
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %+v, %v", f.Debits, err)
			}
		})
	}
	t.Run("but not one that was forced and is weighed, in the roles of its project",
		func(t *testing.T) {
			f := finished(t, s, forced,
				FinishInput{Weighed: []stash.Weighed{net("c", 200), net("w", 20)}})
			if debited(f, "c", stash.RoleWarp) != 100*measure.Gram ||
				debited(f, "w", stash.RoleWeft) != 80*measure.Gram {
				t.Errorf("%+v", f.Debits)
			}
		})
}

func TestFinishDebitsAddUpToWhatWasUsed(t *testing.T) {
	used := 0
	s := stock(t, of("c1", cotton, 90), of("c2", cotton, 90), of("w1", wool, 60),
		of("w2", wool, 90), of("r", remnant, 50))
	piece := onLoom(t, s, scarf())
	rapid.Check(t, func(rt *rapid.T) {
		var in FinishInput
		for _, p := range s.Packages {
			if rapid.Bool().Draw(rt, "weighed "+p.Tag) {
				in.Weighed = append(in.Weighed,
					net(p.Tag, measure.Mass(rapid.Int64Range(0, int64(p.Held/measure.Gram)).Draw(rt,
						"left of "+p.Tag))))
			}
		}
		in.Measures.Tape = measure.Length(rapid.Int64Range(0, 4000).Draw(rt, "tape"))
		in.Force = true // impossible measures debit no less exactly
		f, err := s.Finish(piece, in)
		if err != nil {
			rt.Fatal(err)
		}
		for _, d := range f.Debits {
			if d.Mass < 0 || d.Length < 0 {
				rt.Errorf("negative: %+v", d)
			}
		}
		for _, w := range in.Weighed {
			used++
			p, _ := s.Find(w.Package)
			if got := debited(f, string(w.Package), ""); got != p.Held-*w.Net {
				rt.Errorf("%s: %v missing, %v debited", p.Tag, p.Held-*w.Net, got)
			}
		}
		for i, d := range f.Debits {
			for _, e := range f.Debits[:i] {
				if e.Package == d.Package && e.Role == d.Role {
					rt.Errorf("%s is debited twice as %s", d.Package, d.Role)
				}
			}
		}
	})
	if used == 0 {
		t.Fatal("no package was ever weighed")
	}
}

func TestCompareSetsEveryFigureAgainstThePlan(t *testing.T) {
	s := stock(t, of("c", cotton, 300), of("w", wool, 100))
	piece := onLoom(t, s, scarf())
	f := finished(t, s, piece, FinishInput{Measures: stash.Measures{Tape: 2100, OffLoom: 2000,
		Length: 1800, Width: 300}})
	rows := s.Compare(piece, f, nil)
	want := map[string][2]int64{"tape": {2100, 2100}, "off loom": {2000, 2000},
		"length": {1800, 1800}}
	for _, r := range rows {
		name := strings.ReplaceAll(r.Name, "_", " ")
		if w, ok := want[name]; ok && w != [2]int64{r.Planned, r.Actual} {
			t.Errorf("%s: %d and %d, want %v", r.Name, r.Planned, r.Actual, w)
		}
		delete(want, name)
	}
	if len(want) > 0 {
		t.Errorf("not set against the plan: %v, in %v", want, rows)
	}
	if none := s.Compare(piece, finished(t, s, piece, FinishInput{}), nil); none == nil {
		t.Error("nothing measured gives null")
	}
}

func ExampleShelf_WarpYarns() {
	s := Shelf{Packages: []stash.Package{{ID: "a", PackageFacts: stash.PackageFacts{Yarn: "oat"}},
		{ID: "b", PackageFacts: stash.PackageFacts{Yarn: "slate"}}}}
	fmt.Println(s.WarpYarns(stash.Piece{Plan: &stash.Plan{Allotments: []stash.Allotment{{Package: "a", Warp: 1}, {Package: "b", Weft: 1}}}}))
	// Output: [oat]
}
