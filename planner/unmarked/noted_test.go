package unmarked_test

import (
	"slices"
	"testing"

	"endsmeet/planner/unmarked"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

func TestANotedBurningTestPointsToWhatItShows(t *testing.T) {
	t.Parallel()
	for note, want := range map[string][]fibre.ID{
		"burn test: hair smell and a hard bead":        {fibre.UnknownAnimal, fibre.UnknownSynthetic},
		"Burnt: smells of hair, crumbly ash":           {fibre.UnknownAnimal},
		"burn test: paper smell, no bead":              {fibre.UnknownCellulose},
		"burning test: melts and drips":                {fibre.UnknownSynthetic},
		"burn test: smells of paper, melts at the end": {fibre.UnknownCellulose, fibre.UnknownSynthetic},
		"burn test: nothing clear":                     nil,
		"from a shop for hair and beads":               nil,
	} {
		y := stash.YarnFacts{Fibre: fibre.Content{{Fibre: fibre.Unknown, Note: note}}}
		if got := unmarked.Noted(y); !slices.Equal(got, want) {
			t.Errorf("%q points to %v, want %v", note, got, want)
		}
		for _, g := range []fibre.ID{fibre.UnknownAnimal, fibre.UnknownCellulose, fibre.UnknownSynthetic} {
			against := unmarked.AgainstNoted(y, unmarked.Sign{Leaves: g}) != ""
			if against != (len(want) > 1 || want != nil && !slices.Contains(want, g)) {
				t.Errorf("%q, a sign of %s", note, g)
			}
		}
	}
	inNote := stash.YarnFacts{Note: "guild sale; burn test: hair. Beads of dye"}
	if got := unmarked.Noted(inNote); !slices.Equal(got, []fibre.ID{fibre.UnknownAnimal}) {
		t.Errorf("in the note: %v", got)
	}
	known := stash.YarnFacts{Fibre: fibre.Content{{Fibre: "cotton", Note: "burn test: hair"}}}
	if got := unmarked.Noted(known); got != nil {
		t.Errorf("of a known fibre: %v", got)
	}
}
