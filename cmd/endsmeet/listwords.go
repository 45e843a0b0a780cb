package main

import (
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// filterWords refuses, where a list is empty, a form or a fibre that no package
// could have: it is more likely misspelt than missing. A part of a word will do.
func (k *call) filterWords() error {
	if form := strings.ToLower(strings.TrimSpace(k.String("form"))); form != "" &&
		!partOfOne(form, formWords()) {
		return stash.Refuse(stash.CodeInput, "one of: "+strings.Join(formWords(), ", "),
			"there is no form %q", stash.Clean(form))
	}
	name := strings.ToLower(strings.TrimSpace(k.String("fibre")))
	if _, err := fibre.ParseContent(name); name == "" || err == nil ||
		partOfOne(name, fibreNames()) {
		return nil
	}
	hint := "`endsmeet help fibres` lists them"
	if near, ok := fibre.Nearest(name); ok {
		hint = "did you mean " + near + "? " + hint
	}
	return stash.Refuse(stash.CodeInput, hint, "no fibre is called %q", stash.Clean(name))
}

func partOfOne(part string, words []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, part) })
}

func formWords() []string {
	words := make([]string, len(stash.Forms))
	for i, f := range stash.Forms {
		words[i] = string(f.Form)
	}
	return words
}

// fibreNames are the names of all fibres, the customary ones too.
func fibreNames() []string {
	var names []string
	for _, f := range fibre.All() {
		names = append(append(names, string(f.ID), f.EUName), f.Synonyms...)
	}
	return names
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
