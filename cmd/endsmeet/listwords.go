package main

import (
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
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

// noteFibre says, where the one word that was asked for is a fibre, how many more items hold
// it: words are sought in tags, names, colours and lots alone.
func (k *call) noteFibre(tx *sqlite.Tx, words []string, shown []show.ListLine) error {
	if len(words) != 1 {
		return nil
	}
	row, ok := fibre.Lookup(words[0])
	if !ok {
		return nil
	}
	known := map[stash.PackageID]bool{}
	for _, line := range shown {
		known[line.ID] = true
	}
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	more := 0
	err = tx.EachPackage(!k.Bool("retired"), func(p stash.Package) error {
		if !known[p.ID] && slices.ContainsFunc(s.Yarns[p.Yarn].Fibre,
			func(part fibre.Part) bool { return part.Fibre == row.ID }) {
			more++
		}
		return nil
	})
	if err == nil && more > 0 {
		k.note("%s of this fibre under other names: `%s`", measure.CountedAs(more, "more item is",
			"more items are"), stash.Command("list --fibre", strings.ToLower(words[0])))
	}
	return err
}
