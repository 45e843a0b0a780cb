package making

import (
	"fmt"
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
