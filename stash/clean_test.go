package stash_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"endsmeet/stash"
)

// harmful says whether text could do anything to a terminal but be read.
func harmful(s string) bool {
	return !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) ||
			r == utf8.RuneError
	})
}

func TestCleanMakesTextHarmless(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                     "plain",
		"  two \t words\n":          "two words",
		"\x1b[31mred\x1b[0m":        "[31mred [0m",
		"\x1b]0;title\a":            "]0;title",
		"\u009b31m":                 "31m",
		"a\u202egnp.exe":            "a gnp.exe",
		"\u2066isolate\u2069":       "isolate",
		"zero\u200bwidth\ufeff":     "zero width",
		"soft\u00adhyphen":          "soft hyphen",
		"a\rb\x00c\x7fd":            "a b c d",
		"line\u2028two\u2029three":  "line two three",
		"bad \xff\xc3( utf-8":       "bad ( utf-8",
		"\U000e0041tag characters":  "tag characters",
		"naïve 毛糸 עברית e\u0301":    "naïve 毛糸 עברית é",
		"Ossen\u034ftarn\ufe0f":     "Ossentarn",
		"\u3164\u2800":              "",
		"":                          "",
		"\u202e":                    "",
		"no\u00a0break\u3000spaces": "no break spaces",
	} {
		if got := stash.Clean(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

func TestCleanedTextIsHarmlessAndStaysAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.OneOf(rapid.String(),
			rapid.Map(rapid.SliceOf(rapid.Byte()),
				func(b []byte) string { return string(b) })).Draw(t, "text")
		got := stash.Clean(in)
		if harmful(got) || stash.Clean(got) != got {
			t.Fatalf("%q becomes %q", in, got)
		}
	})
}
