package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// wefts draws a plan whose weft is named in several lots and yarns.
func wefts(t *rapid.T, tb testing.TB) (Shelf, stash.ProjectFacts) {
	packages := []stash.Package{of("c", cotton, 400)}
	yarns := []stash.YarnID{wool, "other"}
	for i := range rapid.IntRange(2, 4).Draw(t, "packages") {
		name := fmt.Sprintf("w%d", i)
		grams := measure.Mass(rapid.IntRange(15, 130).Draw(t, name))
		packages = append(packages,
			of(name, yarns[i%2], grams, lot(rapid.SampledFrom([]string{"A", "B"}).Draw(t, "lot"))))
	}
	b := scarf()
	b.Pieces = rapid.IntRange(1, 3).Draw(t, "pieces")
	b.Weft = yarnRef(yarns...)
	s := stock(tb, packages...)
	other := s.Yarns[wool]
	other.ID = "other"
	s.Yarns["other"] = other
	return s, b
}

// odds are how sure a project is of all the yarn that it names, whose lots may meet.
func odds(t *rapid.T, s Shelf, b stash.ProjectFacts) fit.Odds {
	f, err := s.fill(b)
	if err != nil {
		t.Fatal(err)
	}
	spec := s.specOf(f.project)
	r, err := s.request(f, spec, s.gather(b))
	if err != nil {
		t.Fatal(err)
	}
	r.Lots = fit.AnyLot
	o, err := fit.Chance(r, spec.ThreadedFor(), b.Length)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestMoreNeedIsNeverSurer asks of a piece and of the same with more yarn needed: the second
// is at most as sure.
func TestMoreNeedIsNeverSurer(t *testing.T) {
	open := 0
	rapid.Check(t, func(rt *rapid.T) {
		s, b := wefts(rt, t)
		more := b
		more.Sample += measure.Length(rapid.IntRange(0, 300).Draw(rt, "sample"))
		more.Length += measure.Length(rapid.IntRange(0, 300).Draw(rt, "longer"))
		less, much := odds(rt, s, b), odds(rt, s, more)
		if less.Probability > 0.001 && less.Probability < 0.999 {
			open++
		}
		if much.Probability > less.Probability+less.Bound+much.Bound {
			rt.Errorf("%.4f, and %.4f where more is needed", less.Probability, much.Probability)
		}
	})
	if open == 0 {
		t.Error("no plan was in doubt")
	}
}

// TestNoNamedYarnIsPassedOverWhileThePieceIsShort plans with all the yarns named and with
// each alone: together they are at least as sure.
func TestNoNamedYarnIsPassedOverWhileThePieceIsShort(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, b := wefts(rt, t)
		all := planned(t, s.Terse(), b)
		for _, p := range s.Packages[1:] {
			alone := b
			alone.Weft = []stash.Ref{{Package: p.ID}}
			if one := planned(t, s.Terse(), alone); one.Verdict == chance.Sure &&
				all.Verdict != chance.Sure {
				rt.Errorf("%s alone %.4f, all named %.4f", p.ID, one.Probability, all.Probability)
			}
		}
	})
}

// TestPiecesAreSharedAmongLotsThatAreNearlyShort names two lots of weft, of which one has
// just enough: both are woven from.
func TestPiecesAreSharedAmongLotsThatAreNearlyShort(t *testing.T) {
	b := scarf()
	b.Pieces, b.Weft = 2, yarnRef(wool)
	need := planned(t, stock(t, of("c", cotton, 900), of("w", wool, 900)), b)
	mass, _ := measure.MassOf(need.Needs.WeftTotal, stock(t).Yarns[wool].Tex())
	just := measure.Mass(int64(mass)/1000 + 4)
	o := planned(t, stock(t, of("c", cotton, 900), of("w1", wool, just, lot("A")),
		of("w2", wool, just, lot("B"))), b)
	if o.Verdict != chance.Sure || len(o.Allotments) != 3 {
		t.Errorf("%s (%.4f), %v: want both lots", o.Verdict, o.Probability, o.Allotments)
	}
}

// TestWhatCanBeReliedOnHasNineteenChancesInTwenty asks for the sizes of random pieces: the
// one to rely on has 95 %, by its own answer and by the plan of that size.
func TestWhatCanBeReliedOnHasNineteenChancesInTwenty(t *testing.T) {
	sizes := 0
	rapid.Check(t, func(rt *rapid.T) {
		s, b := wefts(rt, t)
		b.LeastWidth, b.MostWidth = 250, 330
		out, err := s.Terse().sizes(b, nil)
		if err != nil {
			rt.Fatal(err)
		}
		rec := out.Recommended
		if rec == nil {
			return
		}
		sizes++
		if rec.Chance.Probability < 0.95-rec.Chance.Bound {
			rt.Errorf("rely on %s: %.4f ± %.4f", rec.Length, rec.Chance.Probability,
				rec.Chance.Bound)
		}
		if b.Length = rec.Length; b.Length < 1 {
			rt.Errorf("rely on nothing")
		}
		o, err := PlanEnds(s.Terse(), b, rec.Point.Threaded)
		if err != nil {
			rt.Fatal(err)
		}
		if o.Probability < 0.95-o.Bound-rec.Chance.Bound {
			rt.Errorf("rely on %s, which is planned with %.4f ± %.4f", rec.Length, o.Probability,
				o.Bound)
		}
	})
	if sizes == 0 {
		t.Error("no size was recommended")
	}
}

// TestWhatWouldMakeItSurerIsOfWhatRunsOutFirst asks of random plans: what is to be measured
// is yarn of what the plan says runs out first.
func TestWhatWouldMakeItSurerIsOfWhatRunsOutFirst(t *testing.T) {
	asked := map[string]int{}
	for seed := range uint64(150) {
		s, b := nearShelf(t, rand.New(rand.NewPCG(seed, 6)))
		for id, y := range s.Yarns {
			if y.Count != nil {
				rough := *y.Count
				rough.Source = measure.Label
				y.Count = &rough
				s.Yarns[id] = y
			}
		}
		o := planned(t, s, b)
		refs := map[string][]stash.Ref{"warp": b.Warp, "weft": b.Weft, "yarn": b.Warp}[o.Binding]
		if o.Worth == nil || refs == nil {
			continue
		}
		asked[o.Binding]++
		if !slices.ContainsFunc(s.Named(refs), func(p stash.Package) bool {
			return strings.Contains(o.Worth.Measurement.Name, p.Label())
		}) {
			t.Errorf("seed %d: the %s runs out first, and surer makes it to %s", seed, o.Binding,
				o.Worth.Measurement.Name)
		}
	}
	if asked["warp"] < 5 || asked["weft"] < 5 {
		t.Errorf("%v", asked)
	}
}

// TestRagsAreAsSureWhateverTheirCount plans a rag weft by the weight of its cloth, of rags of
// a count that is known well and hardly: need and supply are both weighed.
func TestRagsAreAsSureWhateverTheirCount(t *testing.T) {
	var chances []float64
	for _, source := range []measure.Source{measure.KnownCount, measure.Label} {
		s := stock(t, of("c", cotton, 900), of("w", wool, 480))
		y := s.Yarns[wool]
		y.Count = &stash.CountFact{Count: y.Count.Count, Source: source}
		s.Yarns[wool] = y
		b := scarf()
		b.Weft, b.RagPerM2, b.Width, b.Length, b.Picks = yarnRef(wool), measure.Mass(900*measure.Gram), 300, 1650, 0
		b.WeftTakeUp, b.ShrinkLength, b.ShrinkWidth = nil, nil, nil
		o := planned(t, s, b)
		chances = append(chances, o.Probability)
		if o.Worth != nil && strings.Contains(o.Worth.Measurement.Name, "ten metres") {
			t.Errorf("surer makes it to %s", o.Worth.Measurement.Name)
		}
	}
	if math.Abs(chances[0]-chances[1]) > 0.001 || chances[0] < 0.02 || chances[0] > 0.98 {
		t.Errorf("%v", chances)
	}
}

// TestPiecesOfAWoundWarp makes warps that were wound longer of more pieces: what the warp can
// be relied on to give after the first is what one more piece has by itself, and its weft is
// of what the project names, no more of it than there is.
func TestPiecesOfAWoundWarp(t *testing.T) {
	more := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		s, b := nearShelf(t, r)
		b.Length = max(100, b.Length/4)
		o := planned(t, s, b)
		plan := o.Record()
		plan.Wound = plan.WarpEnd * measure.Length(100+r.Int64N(150)) / 100
		piece := stash.Piece{ID: "piece", Name: "piece 1", State: stash.OnLoom, Plan: plan}
		s = s.With(piece)
		was, err := Remaining(s, piece, 0)
		if err != nil {
			t.Fatal(err)
		}
		two := piece
		if two.Plan, err = WithPieces(s, piece, 2); err != nil {
			t.Fatal(err)
		}
		own := s.Without(piece).With(two)
		is, err := Remaining(own, two, 0)
		if err != nil {
			t.Fatal(err)
		}
		if was.AfterSure > was.AfterPiece || was.TapeSure > was.Tape || was.WeftSure > *was.Weft {
			t.Errorf("seed %d: more can be relied on than there is in the middle: %+v", seed, was)
		}
		if enough := was.AfterSure >= plan.Length+2; enough != (is.Short <= 1-chance.SureFrom) &&
			max(was.AfterSure-plan.Length, plan.Length-was.AfterSure) > 20 {
			t.Errorf("seed %d: %s to rely on after a piece of %s, and two are short with %.4f", seed,
				was.AfterSure, plan.Length, is.Short)
		}
		for _, a := range two.Plan.Promised() {
			if p, _ := s.find(a.Package); a.Mass > p.Held+measure.Gram/100 && plan.Wound <= plan.WarpEnd {
				t.Errorf("seed %d: %s of %s", seed, a.Mass, p.Held)
			}
		}
		if was.AfterSure > 0 {
			more++
		}
	}
	if more < 10 {
		t.Errorf("%d warps had more to give", more)
	}
}
