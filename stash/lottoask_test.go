package stash

import "testing"

func TestAWordForNoLotIsNoLotToAskFor(t *testing.T) {
	for lot, want := range map[string]string{
		"4417": "4417", "M3": "M3", "G9": "G9", "077": "077", "AB": "AB", "fleece 2022": "fleece 2022",
		"hand-dyed": "", "hand-dyed, one only": "", "Hand dyed": "", "mixed": "", "unknown": "",
		"not known": "", "one only": "", "none": "", "": "", "hand-dyed 12": "hand-dyed 12",
	} {
		if got := LotToAskFor(lot); got != want {
			t.Errorf("of %q ask for %q, want %q", lot, got, want)
		}
	}
}
