package main

import (
	"slices"
	"strings"
	"unicode"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/people"
)

// flagWords are the words that --flag knows, whether or not anything on the shelf is so:
// what may keep an item from being woven, what may be marked on it, and smells of any kind.
func flagWords() []string {
	var words []string
	for _, bar := range stash.Bars {
		words = append(words, string(bar))
	}
	words = append(append(words, stash.Hazards...), "reserved", "odour", "smells", "sheds", "bleeds",
		"may bleed", "insects", "coarse", "unknown fibre", "weigh again", "overdrawn",
		"short lengths", "question", "disputed", string(stash.FitWeftOnly))
	for _, f := range fibre.All() {
		if f.Class.Protein() {
			words = append(words, f.ID.Word())
		}
	}
	return words
}

// flagAsked is the word of --flag.
func (k *call) flagAsked() string {
	return stash.British(strings.ToLower(strings.TrimSpace(k.String("flag"))))
}

// flagged says whether an item is as a word of --flag says: a part of a mark will do.
func flagged(it show.Item, flag string) bool { return marked(it, flag, strings.Contains) }

// isSo says whether an item is as a word of a list says: the word is its state, or stands in
// one of its marks.
func isSo(it show.Item, word string) bool {
	return marked(it, word, func(mark, word string) bool {
		words := strings.FieldsFunc(mark, func(r rune) bool { return !unicode.IsLetter(r) })
		return slices.Contains(words, word)
	})
}

// marked says whether an item has the state, or a mark with the word in it, that is asked for.
func marked(it show.Item, word string, in func(mark, word string) bool) bool {
	switch word {
	case string(stash.BarPromised), "reserved":
		return it.State == reserved || slices.Contains(it.Flags, reserved)
	case "odour", "odours", "smell", "smells":
		return people.Smell(it.Facts.YarnFacts) != ""
	case string(stash.FitWeftOnly):
		return it.Facts.Fit == stash.FitWeftOnly
	}
	return it.State == word || slices.ContainsFunc(it.Flags,
		func(f string) bool { return in(strings.ToLower(f), word) })
}

// unknownFlag refuses a word that --flag does not know and that marks nothing seen.
func unknownFlag(flag string, seen []string) error {
	words := slices.Concat(flagWords(), seen)
	if flag == "" || show.PartOfOne(flag, words) {
		return nil
	}
	return stash.Refuse(stash.CodeInput, stash.OneOf(flag, slices.Compact(slices.Sorted(
		slices.Values(words)))), "nothing can be marked %q", stash.Clean(flag))
}
