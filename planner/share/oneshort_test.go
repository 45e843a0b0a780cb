package share

import (
	"context"
	"math/rand/v2"
	"reflect"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// striped are how the warp of a project may be striped, most often not at all.
var striped = []stash.StripeRule{"", "", "", stash.StripesFree, stash.StripesMixed}

// TestOneProjectLacksTheSameWhoeverIsAsked asks a plan, the sharing of one project, the list
// of what planned pieces lack, and the piece planned anew.
func TestOneProjectLacksTheSameWhoeverIsAsked(t *testing.T) {
	short := 0
	for seed := range uint64(80) {
		r := rand.New(rand.NewPCG(seed, 17))
		shelf := shelfOf(r, 3+r.IntN(10))
		yarns := []stash.YarnID{"oat", "slate", "moss"}
		b := projectOf("scarf", 150+r.Int64N(600), 800+r.Int64N(2500), yarns[r.IntN(3)],
			yarns[r.IntN(3)])
		b.LeastWidth, b.LeastLength = b.Width, b.Length
		if rule := striped[r.IntN(len(striped))]; rule != "" {
			b.StripeRule = rule
			b.Warp = []stash.Ref{{Yarn: yarns[r.IntN(3)]}, {Yarn: yarns[r.IntN(3)]}}
		}
		o, err := making.Plan(shelf, b.ProjectFacts)
		if err != nil {
			t.Fatal(err)
		}
		shared, err := Allot(context.Background(), shelf, []Want{{Project: b, Priority: 1}}, ByCloth, 0)
		if err != nil {
			t.Fatal(err)
		}
		if shared.Pieces[0].Made != (o.Verdict == chance.Sure) {
			t.Errorf("seed %d: planned %s %.4f, binds %s, %s greatest %v, and shared out %v", seed, o.Verdict, o.Probability, o.Binding, o.Why, o.Greatest, shared.Pieces[0].Made)
		}
		if len(o.Buys) == 0 {
			continue
		}
		short++
		if got := shared.Pieces[0].Buys; !reflect.DeepEqual(got, o.Buys) {
			t.Errorf("seed %d: share: %+v\nplan: %+v", seed, got, o.Buys)
		}
		piece := stash.Piece{ID: "scarf 1", Name: "scarf 1", State: stash.Planned, Project: b.ID,
			Plan: o.Record()}
		for _, a := range piece.Plan.Allotments {
			if shelf.Claims == nil {
				shelf.Claims = map[stash.PackageID]measure.Mass{}
			}
			shelf.Claims[a.Package] += a.Mass
		}
		again, err := making.PlanAgain(shelf, piece)
		if err != nil || !reflect.DeepEqual(again.Buys, o.Buys) {
			t.Errorf("seed %d: planned anew: %+v, %v\nplan: %+v", seed, again.Buys, err, o.Buys)
		}
		lacks, err := Open(context.Background(), shelf, []stash.Piece{piece}, nil,
			func(stash.Piece) (verdict.Whom, error) { return verdict.Whom{}, nil })
		var open []making.Buy
		for _, l := range lacks {
			open = append(open, l.Buy)
		}
		if err != nil || !reflect.DeepEqual(open, o.Buys) {
			t.Errorf("seed %d: open pieces: %+v, %v\nplan: %+v", seed, open, err, o.Buys)
		}
	}
	if short < 10 {
		t.Errorf("only %d of 80 were short", short)
	}
}
