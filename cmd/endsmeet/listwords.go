package main

import (
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// filterWords refuses, where a list is empty, a form or a fibre that no package
// could have: it is more likely misspelt than missing. A part of a word will do.
func (k *call) filterWords() error {
	if form := strings.ToLower(strings.TrimSpace(k.String("form"))); form != "" &&
		!show.PartOfOne(form, show.FormWords()) {
		return stash.Refuse(stash.CodeInput, stash.OneOf(form, show.FormWords()),
			"there is no form %q", stash.Clean(form))
	}
	name := strings.ToLower(strings.TrimSpace(k.String("fibre")))
	if _, err := fibre.ParseContent(name); name == "" || err == nil ||
		show.PartOfOne(name, show.FibreNames()) {
		return nil
	}
	hint := "`endsmeet help fibres` lists them"
	if near, ok := fibre.Nearest(name); ok {
		hint = "did you mean " + near + "? " + hint
	}
	return stash.Refuse(stash.CodeInput, hint, "no fibre is called %q", stash.Clean(name))
}

// otherName is the name that was asked for, where a yarn has the fibre under
// another: who asks for flax finds linen.
func (k *call) otherName(c fibre.Content) string {
	row, ok := fibre.Lookup(k.String("fibre"))
	if ok && slices.ContainsFunc(c, func(p fibre.Part) bool { return p.Fibre == row.ID }) {
		return " " + strings.ToLower(k.String("fibre"))
	}
	return ""
}

// fibreWord says of an item whether it holds the fibre that is the one word asked for; none
// does where the word is no fibre.
func fibreWord(words []string) func(show.Item) bool {
	row, is := fibre.Fibre{}, false
	if len(words) == 1 {
		row, is = fibre.Lookup(words[0])
	}
	return func(it show.Item) bool {
		return is && slices.ContainsFunc(it.Facts.Fibre,
			func(p fibre.Part) bool { return p.Fibre == row.ID })
	}
}

// noteFibre says how many more items hold the fibre that was asked for: words are sought in
// tags, names, colours and lots alone.
func (k *call) noteFibre(more int) {
	if more > 0 {
		k.note("%s of this fibre under other names: `%s`", measure.CountedAs(more, "more item is",
			"more items are"), stash.Command("list --fibre", strings.ToLower(k.Args().First())))
	}
}
