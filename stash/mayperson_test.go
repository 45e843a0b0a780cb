package stash_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
)

// Whatever stands about a name, and however it is inflected, it is still asked about.
func TestWhatStandsAboutANameHidesNobody(t *testing.T) {
	names := rapid.SampledFrom([]string{"Wen", "Jo", "Tamsel Orr", "Ludo", "Anna Brell", "Ö"})
	rapid.Check(t, func(t *rapid.T) {
		name := names.Draw(t, "name")
		word := rapid.SampledFrom(strings.Fields(name)).Draw(t, "word")
		typed := rapid.SampledFrom([]string{"%", "%!", "%'s", "%’s", "Aunt %", "% (sister)", "%.",
			"T. %", "%, T.", "Ms %", "for %", "«%»", "Dr. %-Hale", "%\u200b", "the %s"}).
			Draw(t, "as it is typed")
		typed = strings.ReplaceAll(typed, "%", word)
		if rapid.Bool().Draw(t, "in capitals") {
			typed = strings.ToUpper(typed)
		}
		if !stash.MayBePerson(typed, name) {
			t.Fatalf("%q passes by the rules of %q", typed, name)
		}
	})
}

func TestOtherNamesAreNotAskedAbout(t *testing.T) {
	for _, typed := range []string{"the guild", "Mirra Tolk", "my neighbour", "Mr Hale", "a friend"} {
		for _, name := range []string{"Wen", "Tamsel Orr", "The Orchard Circle", "Mr Brell"} {
			if stash.MayBePerson(typed, name) {
				t.Errorf("%q is taken for %q", typed, name)
			}
		}
	}
}
