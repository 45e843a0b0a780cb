package fibre_test

import (
	"os"
	"strings"
	"testing"

	"endsmeet/stash/fibre"
)

// meansIt are the everyday English words that do name a fibre or a hazard, or may:
// what a note says with them is asked about.
const meansIt = `aged animal animals basement bell bells bone bones brass bugs cat cats charms cigarette copper corn cotton dog dogs down duck ducks dust dusty egg fur glass glasses
 goat gold golden greasy hair hairs hairy hide horn insect insects leather loop loops maize metal milk mystery oil pan paper papers peanut peanuts pet plant plants
 plastic plate protein rabbit rabbits raw rotten rubber sheep shell shells silver sized sizing skin smell smells smelly smoke smoked smoker smokers smokes smoking
 steel stretch stretches tin tobacco unknown vinyl weak wire wires wool pop glove gloves helmet hides cup pad get ha utter`

// The 12,000 commonest words of English (SCOWL, sizes 10 and 20, Debian's package
// scowl 2020.12.07) say nothing of a fibre in an English note but for those that mean
// one.
func TestEverydayEnglishIsNoFibre(t *testing.T) {
	means := map[string]bool{}
	for word := range strings.FieldsSeq(meansIt) {
		means[word] = true
	}
	raw, err := os.ReadFile("../../testdata/published/scowl-english-20.txt")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for word := range strings.FieldsSeq(string(raw)) {
		seen++
		if means[word] {
			continue
		}
		for _, m := range fibre.Mentions("my cotton, which the seller would call " + word) {
			if m.Fibre != "cotton" {
				t.Errorf("%q in a note is read as %s%s", word, m.Fibre, m.Topic)
			}
		}
	}
	if seen < 10_000 {
		t.Fatalf("only %d words", seen)
	}
}

func TestWordsThatSayWhatIsNotThere(t *testing.T) {
	for _, note := range []string{
		"linen singles; no stretch; needs damp air", "prickly: rugs and bags, not skin",
		"I would buy this again, and I should have bought more",
		"28 g is a guess, true value could be 16 or 40", "fine enough to wear next to the skin",
		"on the other hand it is dull",
	} {
		for _, m := range fibre.Mentions(note) {
			if m.Fibre != "linen" {
				t.Errorf("%q: %q is read as %s%s", note, m.Word, m.Fibre, m.Topic)
			}
		}
	}
}
