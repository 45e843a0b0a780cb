package stash_test

import (
	"os/exec"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/outside"
)

// TestQuotedWordsAreReadBack has real shells read what is quoted for them.
func TestQuotedWordsAreReadBack(t *testing.T) {
	for _, shell := range []string{"sh", "bash", "zsh", "fish"} {
		t.Run(shell, func(t *testing.T) { readBack(t, outside.Program(t, shell), shell) })
	}
}

// readBack has a shell read what is quoted for it.
func readBack(t *testing.T, path, shell string) {
	words := []string{
		"$(touch x)", "`touch x`", `"a" 'b'`, "!!", "hey!", "two\nlines", "-n", "--", "", "~",
		"*", "=ls", "a=b", "#x", `back\slash`, `end\`, `\'`, `a\\b`, "tab\there",
		"Ä 10 €", "a;b", "a&b", "a|b", "<a>", "{a,b}", "[ab]", "$HOME", "%1", "^", "?", "Y01",
		"cone-3/b",
	}
	var line strings.Builder
	for _, w := range words {
		line.WriteString(" " + stash.Quote(w))
	}
	if got := read(t, path, line.String()); got != strings.Join(words, "\x00")+"\x00" {
		t.Errorf("%s reads %s\nas %q", shell, line.String(), got)
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("ab $`'\"\\!\n\t-~*?[]{}()<>|&;#=%^é€")),
			0, 12, -1).Draw(t, "word")
		if got := read(t, path, " "+stash.Quote(word)); got != word+"\x00" {
			t.Fatalf("%s reads %s as %q, not %q", shell, stash.Quote(word), got, word)
		}
	})
}

type failer interface{ Fatalf(string, ...any) }

// read is what a shell makes of the words of a line, each ended by a NUL.
func read(t failer, shell, words string) string {
	out, err := exec.Command(shell, "-c", `printf '%s\0'`+words).Output()
	if err != nil {
		t.Fatalf("%s cannot read %s: %v", shell, words, err)
	}
	return string(out)
}

func TestCommandGuardsLeadingDashes(t *testing.T) {
	for want, given := range map[string][]string{
		"endsmeet plan 'moss scarf'":       {"moss scarf"},
		"endsmeet plan -- -towel":          {"-towel"},
		"endsmeet plan -- 'a b' --help":    {"a b", "--help"},
		"endsmeet plan 'x $(touch made)'":  {"x $(touch made)"},
		`endsmeet plan 'it'\''s'`:          {"it's"},
		"endsmeet plan Y01 'note=to wash'": {"Y01", "note=to wash"},
	} {
		if got := stash.Command("plan", given...); got != want {
			t.Errorf("%q: %s, not %s", given, got, want)
		}
	}
}

func TestAFewOfAListAreNamedAndTheOthersCounted(t *testing.T) {
	names := []string{"A", "B", "C", "D", "E"}
	for n, want := range []string{"", "A", "A, B", "A, B, C", "A, B, C, D", "A, B, C and 2 more"} {
		if got := stash.AndMore(names[:n], n); got != want {
			t.Errorf("%d of them: %q, want %q", n, got, want)
		}
	}
	if got := stash.AndMore(names[:4], 9); got != "A, B, C and 6 more" {
		t.Errorf("four of nine are known by name: %q", got)
	}
}
