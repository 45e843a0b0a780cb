package written_test

import (
	"slices"
	"testing"

	"endsmeet/stash/written"
)

func TestWordsNearAnotherAreWithinALimitOfLetters(t *testing.T) {
	words := []string{"wool", "woof", "wood", "wools", "Woll", "wöll", "linen"}
	for most, want := range [][]string{{"wool"}, {"wool", "woof", "wood", "wools", "Woll"},
		{"wool", "woof", "wood", "wools", "Woll", "wöll"}} {
		if got := written.Near("WOOL", words, most); !slices.Equal(got, want) {
			t.Errorf("within %d: %q, want %q", most, got, want)
		}
	}
	if got := written.Near("ööö", []string{"öö", "oo"}, 1); !slices.Equal(got, []string{"öö"}) {
		t.Errorf("letters are taken for bytes: %q", got)
	}
	if got := written.Near("wool", words, -1); got != nil {
		t.Errorf("within less than nothing: %q", got)
	}
}
