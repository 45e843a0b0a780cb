package making

import (
	"fmt"
	"slices"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// TestWhatIsNotSureHasAReason walks projects from hopeless to plentiful: whenever the
// answer is less than sure it names what would run out first.
func TestWhatIsNotSureHasAReason(t *testing.T) {
	seen := map[chance.Verdict]int{}
	for n := range 2 * 9 * 9 {
		b := scarf()
		if n%2 == 0 {
			b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.DrawIn = nil, nil, nil, nil
		}
		s := stock(t, of("c", cotton, measure.Mass(90+8*(n/2%9))),
			of("w", wool, measure.Mass(80+8*(n/18))))
		o := planned(t, s, b)
		seen[o.Verdict]++
		if o.Verdict != chance.Sure && (o.Binding == "" || o.Binding == "nothing") {
			t.Errorf("%s, %.4f: what runs out first is %q", o.Verdict, o.Probability, o.Binding)
		}
	}
	if seen[chance.Sure] == 0 || seen[chance.Likely] == 0 || seen[chance.Short] == 0 {
		t.Errorf("not every verdict was met: %v", seen)
	}
}

// TestTheDoubtOfTheWeavingIsInTheProbability plans one piece with losses as given, and
// with the same losses left to the handbook: weft to spare by a few per cent is then no
// longer sure.
func TestTheDoubtOfTheWeavingIsInTheProbability(t *testing.T) {
	open := scarf()
	open.TakeUp, open.WeftTakeUp, open.ShrinkLength, open.ShrinkWidth, open.Stretch,
		open.DrawIn = nil, nil, nil, nil, nil, nil
	known := func(grams measure.Mass) Shelf { // a weft that is known but for its weaving
		s := stock(t, of("c", cotton, 3000), of("w", wool, grams))
		y := s.Yarns[wool]
		y.Fibre, _ = fibre.ParseContent("polyester") // takes up no water
		fact := *y.Count
		fact.Doubt = 1000
		y.Count = &fact
		s.Yarns[wool] = y
		return s
	}
	plenty := planned(t, known(1000), open)
	given := plenty.Project // every loss filled in
	mass, _ := measure.MassOf(plenty.Needs.WeftTotal, known(1).Yarns[wool].Tex())
	for _, c := range []struct{ over, least, most float64 }{{1.03, 0.60, 0.85},
		{1.10, 0.85, 0.99}} {
		s := known(measure.Mass(float64(mass) * c.over / 1000))
		if o := planned(t, s, open); o.Probability < c.least || o.Probability > c.most {
			t.Errorf("weft %+.0f%%, losses by the handbook: %.3f, want from %.2f to %.2f",
				100*(c.over-1), o.Probability, c.least, c.most)
		}
		if o := planned(t, s, given); o.Verdict != chance.Sure ||
			!slices.Contains(o.Notes, onlyYarn) {
			t.Errorf("weft %+.0f%%, losses as given: %s (%.3f), %q", 100*(c.over-1), o.Verdict,
				o.Probability, o.Notes)
		}
	}
}

// A weaver who beats 8 % more picks than she sets out for needs more weft for the same
// size: what her pieces teach is in the plan, drawn towards what was set; and the picks that
// she set stay those that the next finish is held against.
func TestThePicksThatAreReallyBeatenAreInThePlan(t *testing.T) {
	s := stock(t, of("c", cotton, 400), of("w", wool, 400))
	b := scarf()
	b.TakeUp, b.WeftTakeUp, b.DrawIn = nil, nil, nil
	before, err := Plan(s, b)
	if err != nil {
		t.Fatal(err)
	}
	for n := range 6 {
		piece := onLoom(t, s, b)
		piece.ID = stash.PieceID(fmt.Sprint("piece ", n))
		tape := piece.Plan.Tape
		s.Pieces = append(s.Pieces,
			ended(piece, stash.Measures{Tape: tape,
				Picks: int(1.08*float64(piece.Plan.Spec.Picks.PerMM())*float64(tape) + 0.5)}))
	}
	after, err := Plan(s, b)
	if err != nil {
		t.Fatal(err)
	}
	more := float64(after.Needs.Picks) / float64(before.Needs.Picks)
	weft := float64(after.Needs.WeftTotal) / float64(before.Needs.WeftTotal)
	if more < 1.05 || more > 1.085 || weft < 1.04 || weft > 1.085 {
		t.Errorf("%d picks and %v of weft, before it was known %d and %v", after.Needs.Picks,
			after.Needs.WeftTotal, before.Needs.Picks, before.Needs.WeftTotal)
	}
	if after.Project.Picks != before.Project.Picks || after.Project.Beat == nil ||
		after.Project.Beat.Float() < 0.05 {
		t.Errorf("picks %v, beat %v", after.Project.Picks, after.Project.Beat)
	}
	set := measure.Ratio(0)
	exact := b
	exact.Beat = &set
	if own, err := Plan(s, exact); err != nil || own.Needs.Picks != before.Needs.Picks {
		t.Errorf("a project that says that it beats what it sets: %d picks, %v", own.Needs.Picks,
			err)
	}
}
