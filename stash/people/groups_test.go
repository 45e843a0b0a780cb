package people

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
)

// A word for a group of fibres means each of them, whatever narrower thing a law calls by
// it, and a word for one of a group means no more than that: what fibre a person is refused
// under each.
func TestAWordForAGroupMeansAllOfIt(t *testing.T) {
	hairs := []string{"wool", "merino", "mohair", "alpaca", "angora", "cashmere", "camel", "yak",
		"animal hair", "goat hair", "qiviut"}
	all := func(more ...string) []string { return append(slices.Clone(hairs), more...) }
	goats := []string{"mohair", "cashmere", "cashgora", "goat hair", "animal hair"}
	rayons := []string{"viscose", "modal", "lyocell", "cupro", "bamboo"}
	for words, group := range map[string]struct{ refused, passed []string }{
		"animal hair": {all(), []string{"silk", "cotton", "soy"}},
		"hair, tierhaar, poil, djurhår, animal hair fibres, fur": {all(), []string{"silk", "cotton"}},
		"protein, proteins, protein fibre, protein fibres":       {all("silk", "soy"), []string{"cotton"}},
		"animal, animals, animal fibres, animal products":        {all("silk"), []string{"cotton"}},
		"goat, goats, goat hair":                                 {goats, []string{"wool", "alpaca"}},
		"rayon":                                                  {rayons, []string{"cotton"}},
		"synthetics, man-made fibres": {[]string{"acrylic", "nylon", "polyester"},
			[]string{"viscose", "wool"}},
		"plants, plant fibres": {[]string{"cotton", "linen", "paper"}, []string{"wool"}},
		"soy, milk":            {[]string{"soy", "milk", "protein"}, []string{"wool", "silk"}},
	} {
		for _, word := range strings.Split(words, ", ") {
			for _, saying := range []string{"no ", "against ", "allergic to ", "reacts to "} {
				r, err := ParseRule(saying + word)
				if err != nil {
					t.Fatalf("%s%s: %v", saying, word, err)
				}
				again, err := ParseRule(Words(r))
				if err != nil || again.Value != r.Value {
					t.Errorf("%s%s is written %q, which reads %+v, %v", saying, word, Words(r), again, err)
				}
				for _, one := range group.refused {
					if answersTo(t, r, one) == pass {
						t.Errorf("%s%s lets %s pass", saying, word, one)
					}
				}
				for _, one := range group.passed {
					if answersTo(t, r, one) != pass {
						t.Errorf("%s%s refuses %s", saying, word, one)
					}
				}
			}
		}
	}
}

// answersTo is what a rule finds in a yarn of which everything is recorded.
func answersTo(t *testing.T, r stash.Rule, content string) state {
	t.Helper()
	y, err := harmless(t, content)
	if err != nil {
		t.Fatal(err)
	}
	of, ok := testNamed(r.Test)
	if !ok {
		t.Fatalf("no test %q", r.Test)
	}
	return of.yarn(y, r.Value).state
}
