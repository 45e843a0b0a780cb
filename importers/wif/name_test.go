package wif_test

import (
	"testing"

	"endsmeet/importers/wif"
)

// The values are those of the SVG 1.1 recommendation, section 4.4 ("Recognized
// color keyword names").
func TestHexOf(t *testing.T) {
	tests := map[string]string{
		"teal": "#008080", "Dark Slate Grey": "#2f4f4f", "plum": "#dda0dd",
		"Sundry, navy": "#000080", "sea-green": "#2e8b57",
		"undyed": "", "": "", "moss #336699 lot 4": "#336699", "white, then black": "#000000",
		"cream": "#fffff0",
	}
	for text, want := range tests {
		got, ok := wif.HexOf(text)
		if got != want && want != "" || ok != (want != "") {
			t.Errorf("HexOf(%q) = %q, %v, want %q", text, got, ok, want)
		}
	}
}
