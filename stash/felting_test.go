package stash_test

import (
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// A fibre that cannot felt never does, wool that is called superwash does not wherever it
// is called so, other hair does all the same, and whoever denies or doubts it is believed.
func TestWoolFeltsUnlessItIsSuperwash(t *testing.T) {
	names := map[string]bool{"Fell": true, "Fell superwash": false, "Superwash Fell": false,
		"Fell non-superwash": true, "Fell, not superwash": true, "Fell superwash?": true}
	cases := 0
	for _, f := range fibre.All() {
		for name, wool := range names {
			for _, put := range []func(*stash.YarnFacts){
				func(y *stash.YarnFacts) { y.Name = name }, func(y *stash.YarnFacts) { y.Note = name },
				func(y *stash.YarnFacts) { y.Construction = []string{"plied", name} },
			} {
				y := stash.YarnFacts{Fibre: fibre.Content{{Fibre: f.ID, Share: 1_000_000}}}
				put(&y)
				want := f.Felts && (f.Class != fibre.Wool || wool)
				if got := y.Felts(); got != want {
					t.Errorf("%s called %q felts: %v, want %v", f.ID, name, got, want)
				}
				for shrinks, want := range map[stash.Shrinks]bool{stash.ShrinksFelts: true,
					stash.ShrinksHardly: false} {
					y.Shrinks = shrinks
					if y.Felts() != want || want && y.Superwash() {
						t.Errorf("%s called %q, recorded as %s, felts: %v", f.ID, name, shrinks, !want)
					}
				}
				cases++
			}
		}
	}
	if cases < 500 {
		t.Errorf("only %d cases", cases)
	}
}
