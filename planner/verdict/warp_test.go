package verdict

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// onOneWarp draws projects on a warp, each with a weft of its own, out of a shelf that may
// have too little of it, of several lots, or lent.
func onOneWarp(t *rapid.T, tb *testing.T) (making.Shelf, []stash.ProjectFacts) {
	contents := []string{"cotton 100", "wool 100", "wool (merino superwash) 100", "linen 100", "",
		"cotton 92, elastane 8"}
	var yarns []stash.Yarn
	for i := range rapid.IntRange(2, 4).Draw(t, "yarns") {
		yarns = append(yarns, yarn(tb, fmt.Sprintf("y%d", i),
			rapid.SampledFrom(contents).Draw(t, "content")))
	}
	s := shelf(yarns...)
	for i := range s.Packages {
		p := &s.Packages[i]
		p.Held = measure.Mass(rapid.Int64Range(20, 900).Draw(t, "grams")) * measure.Gram
		p.Received = p.Held
		if rapid.IntRange(0, 5).Draw(t, "lent") == 0 {
			p.LentTo = "Ada"
		}
	}
	another := s.Packages[0] // of the warp, in another lot
	another.ID, another.Tag, another.Lot = "y0 again", "y0 again", "B"
	s.Packages = append(s.Packages, another)
	var out []stash.ProjectFacts
	for i := range rapid.IntRange(2, 3).Draw(t, "projects") {
		b := stash.ProjectFacts{Name: fmt.Sprintf("p%d", i), Sett: 4 * measure.PerCentimetre,
			Picks: 4 * measure.PerCentimetre, Structure: "plain",
			Width:  measure.Length(rapid.IntRange(100, 700).Draw(t, "width")),
			Length: measure.Length(rapid.IntRange(200, 1500).Draw(t, "length")),
			Warp:   []stash.Ref{{Yarn: yarns[0].ID}},
			Weft:   []stash.Ref{{Yarn: rapid.SampledFrom(yarns).Draw(t, "weft").ID}}}
		out = append(out, b)
	}
	return s, out
}

// TestNoProjectIsBetterOffForSharingAWarp asks of each project alone and of all on one warp:
// no answer is better there than alone.
func TestNoProjectIsBetterOffForSharingAWarp(t *testing.T) {
	worse := 0
	rapid.Check(t, func(rt *rapid.T) {
		s, projects := onOneWarp(rt, t)
		w, err := making.PlanWarp(s, projects, 0)
		if err != nil {
			rt.Skip(err)
		}
		for i, o := range w.Outcomes {
			alone, err := making.Plan(s, projects[i])
			if err != nil {
				rt.Fatal(err)
			}
			had, has := OfPlan(s, alone, Whom{}), OfPlan(s, o, Whom{})
			crossed := projects[i].Weft[0] == projects[i].Warp[0] // lots part otherwise among the roles
			if had.Grade.Worse(has.Grade) && !crossed {
				rt.Errorf("%s: alone %s, on one warp %s", projects[i].Name, had.Grade, has.Grade)
			}
			for _, a := range had.Answers {
				b, asked := has.Of(a.Question)
				if a.Question == Lots {
					continue // another lot may go on alone where on one warp it is short instead
				}
				if !asked || a.Grade.Worse(b.Grade) {
					rt.Errorf("%s, %s: alone %s (%s), on one warp %s (%s)", projects[i].Name, a.Question,
						a.Grade, a.Words, b.Grade, b.Words)
				} else if b.Grade.Worse(a.Grade) {
					worse++
				}
			}
		}
	})
	if worse == 0 {
		t.Error("no project was worse off for the warp that it shares")
	}
}
