package making

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestPlanNeedsWhatTheFormulasSay(t *testing.T) {
	n := planned(t, stock(t, of("c", cotton, 300), of("w", wool, 200)), scarf()).Needs
	for _, c := range []struct {
		name      string
		got, want int64
	}{
		{"warp end", int64(n.WarpEnd), 2572}, {"ends", int64(n.Ends), 240},
		{"warp", int64(n.WarpTotal), 617_280},
		{"tape", int64(n.TapeLength), 2100}, {"picks", int64(n.Picks), 1260},
		{"weft", int64(n.WeftTotal), 378_000},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, want %d", c.name, c.got, c.want)
		}
	}
}

func TestPlanEndsTakesAnyNumberOfThem(t *testing.T) {
	s := stock(t, of("c", cotton, 300), of("w", wool, 200))
	for _, n := range []int{1, 97, 240, 243} {
		o, err := PlanEnds(s, scarf(), n)
		if err != nil {
			t.Fatal(err)
		}
		if o.Needs.Ends != n || !o.Fits() || n%4 != 0 && o.Edges.Even {
			t.Errorf("%d ends: %d, %s, even %v", n, o.Needs.Ends, o.Verdict, o.Edges.Even)
		}
	}
	for _, n := range []int{-1, 2_000_000} {
		if _, err := PlanEnds(s, scarf(), n); err == nil {
			t.Errorf("%d ends were accepted", n)
		}
	}
	odd, err := PlanEnds(s, scarf(), 243)
	// 60 groups of 4 and 3 ends
	if err != nil || odd.Edges.SpareEnds != 3 || len(odd.Edges.Layouts) == 0 {
		t.Errorf("243 ends: %d left over, %v, %v", odd.Edges.SpareEnds, odd.Edges.Layouts, err)
	}
}

func TestPlanAllotsWhatThePieceNeeds(t *testing.T) {
	b := scarf()
	o := planned(t, stock(t, of("c1", cotton, 60), of("c2", cotton, 60), of("w1", wool, 50),
		of("w2", wool, 50)), b)
	var ends int
	var warp, weft measure.Length
	for _, a := range o.Allotments {
		ends, warp, weft = ends+a.Ends, warp+a.Warp, weft+a.Weft
		if a.Ends > 0 && a.Warp != measure.Length(a.Ends)*o.Needs.WarpEnd {
			t.Errorf("%s gives %d ends of %v and %v of warp", a.Package, a.Ends, o.Needs.WarpEnd,
				a.Warp)
		}
	}
	if ends != o.Needs.Ends || warp != o.Needs.WarpTotal || weft < o.Needs.WeftTotal {
		t.Errorf("allotted %d ends, %v of warp, %v of weft; needed %d, %v, %v", ends, warp, weft,
			o.Needs.Ends, o.Needs.WarpTotal, o.Needs.WeftTotal)
	}
	if len(o.Allotments) != 4 || o.Verdict != chance.Sure {
		t.Errorf("%d packages, %s", len(o.Allotments), o.Verdict)
	}
}

func TestPlanLeavesOut(t *testing.T) {
	cases := []struct {
		name, reason string
		change       func(*Shelf, *stash.Package)
	}{
		{"what is in quarantine", "is in quarantine",
			func(_ *Shelf, p *stash.Package) { p.Quarantine = &stash.Quarantine{Since: "2026-02-01"} }},
		{"what is lent", "is on loan to Ada",
			func(_ *Shelf, p *stash.Package) { p.LentTo = "Ada" }},
		{"what is kept for another purpose", "is all promised already",
			func(_ *Shelf, p *stash.Package) { p.Reserve = &stash.Reserve{Mass: p.Held} }},
		{"what open pieces were promised", "is all promised already",
			func(s *Shelf, p *stash.Package) { s.Claims[p.ID] = p.Held }},
		{"what is retired", "is retired", func(_ *Shelf, p *stash.Package) { p.Retired = true }},
		{"what holds nothing", "holds nothing", func(_ *Shelf, p *stash.Package) { p.Held = 0 }},
		{"what is fit for weft only, from the warp", "is fit for weft only",
			func(s *Shelf, p *stash.Package) { s.refit(p.Yarn, stash.FitWeftOnly) }},
		{"what is to be discarded", "is to be discarded",
			func(s *Shelf, p *stash.Package) { s.refit(p.Yarn, stash.FitDiscard) }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := stock(t, of("c", cotton, 300), of("w", wool, 200))
			c.change(&s, &s.Packages[0])
			o := planned(t, s, scarf())
			if !slices.Equal(o.LeftOut, []LeftOut{{"c", "c", c.reason}}) {
				t.Errorf("left out: %v", o.LeftOut)
			}
			if o.Fits() || o.Verdict == chance.Sure || o.Verdict == chance.Likely {
				t.Errorf("it fits all the same: %s", o.Verdict)
			}
		})
	}
	t.Run("a quarantine until somebody lifts it", func(t *testing.T) {
		s := stock(t, of("c", cotton, 300), of("w", wool, 200))
		s.Packages[0].Quarantine = &stash.Quarantine{Since: "2026-01-01", Until: "2026-02-01"}
		if o := planned(t, s, scarf()); len(o.LeftOut) != 1 || o.Fits() {
			t.Errorf("left out: %v", o.LeftOut)
		}
	})
	t.Run("only the part that is promised", func(t *testing.T) {
		s := stock(t, of("c", cotton, 300), of("w", wool, 200))
		s.Claims["c"] = 250 * measure.Gram
		if o := planned(t, s, scarf()); o.Fits() || o.Binding != "warp" {
			t.Errorf("50 g of cotton for 92 g of warp: %s, binds %s", o.Verdict, o.Binding)
		}
	})
}

// refit changes what a yarn is fit for.
func (s *Shelf) refit(id stash.YarnID, fit stash.WarpFit) {
	y := s.Yarns[id]
	y.Fit = fit
	s.Yarns[id] = y
}

func TestPlanKnowsNothingOfUnknownLengths(t *testing.T) {
	cases := []struct {
		name, measure string
		pack          stash.Package
	}{
		{"a yarn without a count asks for ten metres to be weighed",
			"u: cut and weigh 10 m of Grey remnant", of("u", remnant, 5000)},
		{"a package never weighed asks for a scale", "u: weigh it: `endsmeet weigh u WEIGHT`",
			of("u", cotton, 0, func(p *stash.Package) { p.Known = false })},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := stock(t, c.pack, of("w", wool, 200))
			b := scarf()
			b.Warp = []stash.Ref{{Package: "u"}}
			o := planned(t, s, b)
			if o.Verdict != chance.Unknown || o.Fits() || o.Probability != 0 {
				t.Errorf("%s, %v, %v", o.Verdict, o.Allotments, o.Probability)
			}
			if len(o.UnknownLengths) != 1 || !strings.HasPrefix(o.UnknownLengths[0], c.measure) {
				t.Errorf("measure: %q", o.UnknownLengths)
			}
		})
	}
}

func TestPlanRefuses(t *testing.T) {
	cases := []struct {
		name, says string
		change     func(*Shelf, *stash.ProjectFacts)
	}{
		{"a warp wider than the loom, with both figures",
			"30 cm in the reed is wider than the loom of 20 cm",
			func(s *Shelf, _ *stash.ProjectFacts) { s.Settings.LoomWidth = 200 }},
		{"more ends than heddles, with both figures", "240 ends are more than the 100 heddles",
			func(s *Shelf, _ *stash.ProjectFacts) { s.Settings.Heddles = 100 }},
		{"a project without a size", "the project has no size",
			func(_ *Shelf, b *stash.ProjectFacts) { b.Length = 0 }},
		{"a project without a sett of yarn without a count", "no sett or picks",
			func(_ *Shelf, b *stash.ProjectFacts) { b.Sett, b.Warp = 0, yarnRef(remnant) }},
		{"stripes of a colour that is not there", `asks for "slate"`,
			func(_ *Shelf, b *stash.ProjectFacts) {
				b.Stripes = []stash.Stripe{{Colour: "slate", Ends: 240}}
			}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s, b := stock(t, of("c", cotton, 300), of("w", wool, 200)), scarf()
			c.change(&s, &b)
			if _, err := Plan(s, b); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v", err)
			}
		})
	}
	t.Run("all faults of a project at once", func(t *testing.T) {
		s := stock(t, of("c", cotton, 300), of("w", wool, 200))
		s.Settings.LoomWidth, s.Settings.Heddles = 200, 100
		_, err := Plan(s, scarf())
		var faults planner.InputErrors
		if !errors.As(err, &faults) || len(faults) != 2 {
			t.Errorf("got %v", err)
		}
	})
}

// ends sums the ends of the bands of a colour.
func ends(o Outcome, colour string) int {
	sum := 0
	for _, b := range o.Bands {
		if b.Colour == colour {
			sum += b.Ends
		}
	}
	return sum
}

func striped(t testing.TB, oat, slate measure.Mass) (Shelf, stash.ProjectFacts) {
	b := scarf()
	b.Stripes = []stash.Stripe{{Colour: "oat", Ends: 90}, {Colour: "slate", Ends: 60},
		{Colour: "oat", Ends: 90}}
	return stock(t, of("o", cotton, oat, coloured("oat")),
		of("s", cotton, slate, coloured("slate")), of("w", wool, 200)), b
}

func TestPlanStripes(t *testing.T) {
	t.Run("fixed stripes take the ends that the project says from packages of their colour",
		func(t *testing.T) {
			s, b := striped(t, 100, 100)
			o := planned(t, s, b)
			if ends(o, "oat") != 180 || ends(o, "slate") != 60 || o.Verdict != chance.Sure {
				t.Fatalf("%v, %s", o.Bands, o.Verdict)
			}
			for _, a := range o.Allotments {
				if want := map[stash.PackageID]int{"o": 180, "s": 60,
					"w": 0}[a.Package]; a.Ends != want {
					t.Errorf("%s gives %d ends, want %d", a.Package, a.Ends, want)
				}
			}
		})
	t.Run("fixed stripes that do not fill the width bind, with the width that they make",
		func(t *testing.T) {
			s, b := striped(t, 100, 100)
			for _, c := range []struct {
				width measure.Length
				says  string
			}{
				{350, "the stripes add up to 240 ends, 35 cm takes 280 --ends 240 takes them once, 30 cm wide. Or give --stripes that add up to 280"},
				{560, "--ends 480 takes them twice, 60 cm wide"},
			} {
				b.Width = c.width
				o := planned(t, s, b)
				if o.Fits() || o.Verdict != chance.Short || o.Binding != "stripes" ||
					!strings.Contains(o.Why+" "+o.Do, c.says) {
					t.Errorf("%s, binds %s: %q", o.Verdict, o.Binding, o.Why+" "+o.Do)
				}
			}
			b.StripeRule = stash.StripesProportional
			if o := planned(t, s, b); o.Binding == "stripes" {
				t.Error("proportional stripes fill any width")
			}
			b.StripeRule, b.Symmetric, b.Width = stash.StripesFixed, true, 300
			b.Stripes = []stash.Stripe{{Colour: "oat", Ends: 90}, {Colour: "slate", Ends: 60}}
			if o := planned(t, s, b); !o.Fits() {
				t.Errorf("mirrored stripes: %q", o.Notes)
			}
		})
	t.Run("a colour that is short binds by its name", func(t *testing.T) {
		s, b := striped(t, 100, 10) // 60 ends of 2.6 m are 23 g
		if o := planned(t, s, b); o.Fits() || o.Binding != "slate" {
			t.Errorf("%s, binds %s", o.Verdict, o.Binding)
		}
	})
	t.Run("proportional stripes keep the shares at another width", func(t *testing.T) {
		s, b := striped(t, 100, 100)
		b.StripeRule, b.Width = stash.StripesProportional, 150
		o := planned(t, s, b)
		if ends(o, "oat") != 90 || ends(o, "slate") != 30 {
			t.Errorf("%v", o.Bands)
		}
	})
	t.Run("free stripes may take more of what there is more of", func(t *testing.T) {
		s, b := striped(t, 100, 10)
		b.StripeRule = stash.StripesFree
		o := planned(t, s, b)
		if !o.Fits() || ends(o, "oat")+ends(o, "slate") != 240 || ends(o, "oat") < 200 {
			t.Errorf("%s, %v", o.Verdict, o.Bands)
		}
	})
}

func TestPlanDyeLots(t *testing.T) {
	t.Run("a lot that does alone is taken alone", func(t *testing.T) {
		o := planned(t, stock(t, of("a", cotton, 40, lot("A")), of("b", cotton, 120, lot("B")),
			of("w", wool, 200)), scarf())
		if !o.Fits() || len(o.LotChanges) > 0 ||
			slices.ContainsFunc(o.Allotments,
				func(a stash.Allotment) bool { return a.Package == "a" }) {
			t.Errorf("%v, %v", o.Allotments, o.LotChanges)
		}
	})
	t.Run("lots that do only together are mixed, which is said", func(t *testing.T) {
		o := planned(t, stock(t, of("a", cotton, 60, lot("A")), of("b", cotton, 60, lot("B")),
			of("w", wool, 200)), scarf())
		if !o.Fits() || len(o.LotChanges) == 0 {
			t.Errorf("%s, %v, %q", o.Verdict, o.LotChanges, o.Notes)
		}
	})
	t.Run("where the project rules mixing out, lots that do only together do not do, and are told",
		func(t *testing.T) {
			b, mix := scarf(), false
			b.MixLots = &mix
			o := planned(t, stock(t, of("a", cotton, 60, lot("A")), of("b", cotton, 60, lot("B")),
				of("w", wool, 200)), b)
			if o.Fits() || o.Verdict == chance.Sure || len(o.LotChanges) != 1 ||
				!strings.Contains(o.Why, "rules out mixing") {
				t.Errorf("%s, %v, %q", o.Verdict, o.LotChanges, o.Why)
			}
		})
}

func TestPlanHemStitching(t *testing.T) {
	b := scarf()
	b.HemstitchedEdges, b.HemstitchYarn = 2, []stash.Ref{{Package: "h"}}
	t.Run("a yarn of its own gives it, and the weft does not", func(t *testing.T) {
		o := planned(t, stock(t, of("c", cotton, 300), of("w", wool, 200), of("h", cotton, 20)), b)
		i := slices.IndexFunc(o.Allotments, func(a stash.Allotment) bool { return a.Hemstitch > 0 })
		if i < 0 || o.Allotments[i].Package != "h" || o.Allotments[i].Hemstitch != o.Needs.HemstitchTotal ||
			o.Needs.HemstitchTotal == 0 {
			t.Errorf("%v, of %v", o.Allotments, o.Needs.HemstitchTotal)
		}
	})
	t.Run("too little of it is short", func(t *testing.T) {
		h := of("h", cotton, 0, func(p *stash.Package) { p.Held = 10 * measure.Milligram })
		o := planned(t, stock(t, of("c", cotton, 300), of("w", wool, 200), h), b)
		if o.Verdict != chance.Short || o.Binding != "hem-stitching" {
			t.Errorf("%s, binds %s", o.Verdict, o.Binding)
		}
	})
}

func TestPlanRagWeftGoesByMass(t *testing.T) {
	b := scarf()
	b.RagPerM2, b.Weft = measure.Kilogram, yarnRef(remnant)
	// 0.30 m x 1.80 m finished at 1 kg for a square metre, before the loss in
	// washing: 600 g (0.3 x 2.0 m), reckoned by hand.
	for grams, fits := range map[measure.Mass]bool{700: true, 400: false} {
		o := planned(t, stock(t, of("c", cotton, 300), of("r", remnant, grams)), b)
		if o.Fits() != fits || o.Verdict == chance.Unknown {
			t.Errorf("%d g of rags for %v: %s, binds %s", grams, o.Needs.RagMass, o.Verdict,
				o.Binding)
		}
	}
}

// Rags go by mass whatever their counts, and however little those are known.
func TestRagsGoByMassWhateverTheirCounts(t *testing.T) {
	b := scarf()
	b.RagPerM2, b.Weft = 1000*measure.Gram, yarnRef("coarse", "fine")
	of := func(coarse, fine measure.Mass, counts [2]measure.Count) Outcome {
		s := stock(t, of("c", cotton, 300), of("r", "coarse", coarse), of("f", "fine", fine))
		for i, id := range b.Weft {
			s.Yarns[id.Yarn] = stash.Yarn{ID: id.Yarn, YarnFacts: stash.YarnFacts{Name: string(id.Yarn),
				Count: &stash.CountFact{Count: counts[i], Source: measure.Guess}}}
		}
		return planned(t, s, b)
	}
	need := of(900, 900, [2]measure.Count{2_000_000, 500_000}).Needs.RagMass / measure.Gram
	for _, share := range []measure.Mass{80, 98, 110} {
		for _, coarse := range []measure.Mass{10, 50, 90} {
			have := need * share / 100
			one := of(have*coarse/100, have-have*coarse/100, [2]measure.Count{2_000_000, 500_000})
			other := of(have*coarse/100, have-have*coarse/100, [2]measure.Count{700_000, 900_000})
			if one.Fits() != (share > 100) ||
				math.Abs(one.Probability-other.Probability) > 0.005 { // a join is of a length
				t.Errorf("%d %% of the mass, %d %% of it coarse: fits %v, %.4f, and with other counts %.4f",
					share, coarse, one.Fits(), one.Probability, other.Probability)
			}
		}
	}
}

func TestPlanNotes(t *testing.T) {
	cases := []struct {
		name, says string
		change     func(*stash.ProjectFacts)
	}{
		{"more ends than lie side by side, with the figure",
			"40/cm ends are closer than the yarn lies in a balanced plain weave, at most about 10.",
			func(b *stash.ProjectFacts) { b.Sett = 40 * measure.PerCentimetre }},
		{"more picks than lie side by side", "30/cm picks are closer",
			func(b *stash.ProjectFacts) { b.Picks = 30 * measure.PerCentimetre }},
		{"a weave that is not known, with those that are", `"gauzeish" interlace is not known`,
			func(b *stash.ProjectFacts) { b.Structure = "gauzeish" }},
	}
	s := stock(t, of("c", cotton, 900), of("w", wool, 900))
	plain := strings.Join(planned(t, s, scarf()).Notes, "\n")
	if strings.Contains(plain, "closer") || strings.Contains(plain, "interlace") {
		t.Errorf("an ordinary cloth is noted: %s", plain)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := scarf()
			c.change(&b)
			if notes := strings.Join(planned(t, s, b).Notes, "\n"); !strings.Contains(notes,
				c.says) {
				t.Errorf("noted: %s", notes)
			}
		})
	}
	t.Run("a twill may be set closer than plain weave", func(t *testing.T) {
		b := scarf()
		b.Sett, b.Structure = 12*measure.PerCentimetre, "2/2 twill"
		if notes := strings.Join(planned(t, s, b).Notes, "\n"); strings.Contains(notes,
			"ends are closer") {
			t.Errorf("noted: %s", notes)
		}
	})
}
