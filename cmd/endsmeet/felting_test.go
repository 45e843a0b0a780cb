package main

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/planner/care"
	"endsmeet/planner/together"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// What a card says of felting, what `together` and plans say, and what is asked about the
// name of a yarn agree, for every fibre under every name.
func TestCardTogetherAndSuitsAgreeOnFelting(t *testing.T) {
	t.Parallel()
	cotton := stash.YarnFacts{Name: "plain", Fibre: fibre.Content{{Fibre: "cotton",
		Share: measure.Whole}}}
	feltable := stash.YarnFacts{Name: "hill", Shrinks: stash.ShrinksFelts,
		Fibre: fibre.Content{{Fibre: "wool", Share: measure.Whole}}}
	for _, f := range fibre.All() {
		for _, name := range []string{"Fell", "Fell superwash", "non-superwash Fell"} {
			y := stash.YarnFacts{Name: name, Fibre: fibre.Content{{Fibre: f.ID, Share: measure.Whole}}}
			advice := care.Advise([]people.Part{{Yarn: stash.Yarn{YarnFacts: y}}}, people.PieceForm{})
			warns := slices.ContainsFunc(advice.Forbids,
				func(s care.Step) bool { return strings.Contains(s.Why, "felt") })
			felting := func(with stash.YarnFacts) (said bool, no bool) {
				v := together.Together(together.Use{Yarn: stash.Yarn{YarnFacts: y}},
					together.Use{Yarn: stash.Yarn{YarnFacts: with}}, together.Setting{})
				for _, r := range v.Reasons {
					said = said || r.Check == "felting"
					no = no || r.Check == "felting" && r.Answer == together.No
				}
				return said, no
			}
			if said, _ := felting(cotton); warns != y.Felts() || said != y.Felts() {
				t.Errorf("%s called %q felts: %v; the card warns: %v, together: %v", f.ID, name,
					y.Felts(), warns, said)
			}
			if _, no := felting(feltable); f.Class == fibre.Wool && no != y.Superwash() {
				t.Errorf("%s called %q with wool that felts: refused %v", f.ID, name, no)
			}
			asks := slices.ContainsFunc(people.Questions(y),
				func(q people.Question) bool { return strings.Contains(q.Text, "superwash") })
			if f.Class == fibre.Wool && f.Hazards&fibre.UnknownHazard == 0 && asks {
				t.Errorf("%s called %q: asked about the word", f.ID, name)
			}
		}
	}
}
