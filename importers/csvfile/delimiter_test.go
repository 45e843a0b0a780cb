package csvfile

import "testing"

func TestWhatCanDivideCells(t *testing.T) {
	for text, want := range map[string]rune{
		"comma": ',', "Semicolon": ';', "TAB": '\t', `\t`: '\t', ",": ',', "|": '|', "^": '^',
		"¦": '¦',
		"":  0, "a": 0, "1": 0, " ": 0, `"`: 0, ".": 0, "\n": 0, "||": 0, "pipe": 0, "\xff": 0,
	} {
		if got := ParseDelimiter(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
