package share

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// balls draws a shelf of small balls of one yarn, each of a colour of its own, and a cone
// for the weft.
func balls(r *rand.Rand, n int) making.Shelf {
	s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}}
	content, _ := fibre.ParseContent("cotton 100")
	put := func(yarn stash.YarnID, id, colour string, held measure.Mass) {
		y := stash.Yarn{ID: yarn}
		y.Name, y.Fibre = string(yarn), content
		y.Count = &stash.CountFact{Count: 150 * measure.Tex, Source: measure.Label}
		s.Yarns[yarn] = y
		p := stash.Package{ID: stash.PackageID(id)}
		p.Yarn, p.Tag, p.Colour, p.Lot, p.Known, p.Held, p.Step = yarn, id, colour, "7", true, held,
			measure.Gram/10
		s.Packages = append(s.Packages, p)
	}
	for i := range n {
		put("Mini", fmt.Sprint("M", i), fmt.Sprint("colour ", i), measure.Mass(5+r.IntN(25))*measure.Gram)
	}
	put("Cone", "C", "oat", 400*measure.Gram)
	return s
}

// stripedOf is a project of a shelf of balls, with free stripes.
func stripedOf(r *rand.Rand) stash.Project {
	b := projectOf("stripes", 80+r.Int64N(200), 600+r.Int64N(900), "Mini", "Cone")
	b.StripeRule, b.Symmetric, b.LeastStripe = stash.StripesFree, r.IntN(4) == 0, r.IntN(8)
	return b
}

// TestWhatAPlanOrAShareMakesIsFound: of small balls of one colour each, in free stripes, a
// search finds an answer whenever a plan of the project is reliable or a sharing makes it,
// of the same size and just as sure; and an answer of the wanted size is sure by its plan.
func TestWhatAPlanOrAShareMakesIsFound(t *testing.T) {
	sure := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 11))
		shelf, b := balls(r, 3+r.IntN(6)), stripedOf(r)
		o, err := making.Plan(shelf, b.ProjectFacts)
		if err != nil {
			t.Fatal(seed, err)
		}
		can := o.Verdict == chance.Sure && !verdict.OfPlan(shelf, o, verdict.Whom{}).Grade.Blocks()
		shared, err := Allot(context.Background(), shelf, []Want{{Project: b}}, ByCloth, 0)
		if err != nil {
			t.Fatal(seed, err)
		}
		k, _ := kinds.OfProject(b)
		found, err := search.Find(context.Background(), shelf, search.Query{Kind: k, Rest: 25_000,
			Weights: search.Weights{Size: 60, Use: 20, Rest: 10, Lots: 10}})
		if err != nil {
			t.Fatal(seed, err)
		}
		whole := false
		for _, a := range found.Answers {
			whole = whole || a.Scale >= 1000 && a.Outcome.Verdict == chance.Sure
		}
		if can || shared.Pieces[0].Made {
			sure++
		}
		if can != shared.Pieces[0].Made || can && !whole {
			t.Errorf("seed %d: plan %v (%.4f), share %v, found %v", seed, can, o.Probability,
				shared.Pieces[0].Made, whole)
		}
	}
	if sure < 10 {
		t.Errorf("only %d could be made", sure)
	}
}
