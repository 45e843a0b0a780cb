package care

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// heat is how hot a way of pressing is, cool first; steam does not press.
func heat(s Step) int {
	return slices.Index([]string{noIron, coolest, lightly, damp}, strings.Replace(s.Text, steam,
		coolest, 1))
}

var parts = rapid.Custom(func(t *rapid.T) people.Part {
	f := rapid.SampledFrom(fibre.All()).Draw(t, "fibre")
	y := stash.YarnFacts{Fibre: fibre.Content{{Fibre: f.ID, Share: measure.Whole}}}
	if word := rapid.SampledFrom([]string{"", "chenille", "metallised"}).Draw(t, "built"); word != "" {
		y.Construction = []string{word}
	}
	return people.Part{Yarn: stash.Yarn{YarnFacts: y}}
})

// A cloth is pressed no hotter than each of its yarns would be by itself, and a reason names
// wool and hair only where they are in it, or may be.
func TestAClothIsPressedAsItsYarnThatBearsLeast(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(parts, 2, 4).Draw(t, "parts")
		cloth := Advise(all, people.PieceForm{})
		least, hair := 9, false
		for _, p := range all {
			if !bearsLess(p.Yarn.YarnFacts) && heat(Advise([]people.Part{p}, people.PieceForm{}).After[0]) ==
				heat(Step{Text: lightly}) {
				continue // cotton bears what linen does, which is more than it needs
			}
			least = min(least, heat(Advise([]people.Part{p}, people.PieceForm{}).After[0]))
			hair = hair || p.Yarn.Fibre.MayHave(fibre.Wool) || p.Yarn.Fibre.MayHave(fibre.Animal)
		}
		if got := heat(cloth.After[0]); got < 0 || got > least {
			t.Fatalf("%q, and one of its yarns bears %d", cloth.After[0].Text, least)
		}
		for _, s := range slices.Concat(cloth.During, cloth.After, cloth.Forbids) {
			if !hair && (strings.Contains(s.Why, "wool") || strings.Contains(s.Why, "hair ")) {
				t.Fatalf("%q names hair in %q", s.Why, s.Text)
			}
		}
		if cloth.WashWhy == "" {
			t.Fatal("the washing has no reason")
		}
	})
}

// Silk in linen is not pressed hot, though linen by itself is.
func TestSilkIsNotPressedHot(t *testing.T) {
	t.Parallel()
	of := func(id fibre.ID) people.Part {
		return people.Part{Yarn: stash.Yarn{YarnFacts: stash.YarnFacts{Name: string(id),
			Fibre: fibre.Content{{Fibre: id, Share: measure.Whole}}}}}
	}
	if got := Advise([]people.Part{of("linen"), of("silk")}, people.PieceForm{}); got.After[0].Text != coolest ||
		!strings.HasPrefix(got.WashWhy, "silk bears no more") {
		t.Errorf("%q, %q", got.After[0].Text, got.WashWhy)
	}
	if got := Advise([]people.Part{of("linen")}, people.PieceForm{}); got.After[0].Text != damp {
		t.Error(got.After[0].Text)
	}
}
