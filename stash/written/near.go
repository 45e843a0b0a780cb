package written

import (
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/agext/levenshtein"
)

// Apart is how many letters are to be put in, left out or changed to make one word of
// another, in any letter case.
func Apart(a, b string) int {
	return levenshtein.Distance(strings.ToLower(a), strings.ToLower(b), nil)
}

// Near are the words that are at most so many letters apart from another, the nearest
// first, and as they came where they are equally near.
func Near(word string, words []string, most int) []string {
	long := utf8.RuneCountInString(word)
	byLetters := make([][]string, max(most+1, 0))
	for _, w := range words {
		if longer := utf8.RuneCountInString(w) - long; max(longer, -longer) > most {
			continue // so many letters at least are to be put in or left out
		}
		if d := Apart(word, w); d <= most {
			byLetters[d] = append(byLetters[d], w)
		}
	}
	return slices.Concat(byLetters...)
}
