package main

import (
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
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

// ofFibre says of a composition whether it has the fibre that was asked for, by that name or
// another: who asks for flax finds linen.
func ofFibre(asked string) func(fibre.Content) bool {
	row, known := fibre.Lookup(asked)
	return func(c fibre.Content) bool {
		return known && slices.ContainsFunc(c, func(p fibre.Part) bool { return p.Fibre == row.ID })
	}
}

// picked are the words by which items are picked.
type picked struct {
	tags, bins []string
	words      []soughtWord
	stems      map[string]bool // what tags of several items begin with: Y15 of Y15-1
}

// soughtWord is a word that must stand in an item, and may be the name of a fibre.
type soughtWord struct {
	text    string
	isFibre func(fibre.Content) bool
}

// pick sorts words: an argument, else each of its words, that is a tag or a bin means what
// is called so.
func pick(tx *sqlite.Tx, args []string) (picked, error) {
	var of picked
	if len(args) == 0 {
		return of, nil
	}
	bins, err := tx.Bins()
	if err != nil {
		return of, err
	}
	of.stems = map[string]bool{}
	if err := tx.Tags(of.stem); err != nil {
		return of, err
	}
	for _, arg := range args {
		words := strings.Fields(stash.Fold(arg))
		if len(words) > 1 {
			named, err := of.name(tx, bins, arg)
			if err != nil {
				return of, err
			}
			if named {
				continue
			}
		}
		for _, word := range words {
			if named, err := of.name(tx, bins, word); err != nil {
				return of, err
			} else if !named {
				if word = strings.Trim(stash.British(word), ","); word == "" {
					continue
				}
				of.words = append(of.words, soughtWord{word, ofFibre(word)})
			}
		}
	}
	return of, nil
}

// stem keeps what a tag of one of several items begins with. One without a number is a word
// like any other.
func (of *picked) stem(tag string) {
	stem, _, several := strings.Cut(stash.Fold(tag), "-")
	if several && strings.ContainsAny(stem, "0123456789") {
		of.stems[stem] = true
	}
}

// tagged says whether a tag is one of those that pick, or of one of several items of them.
func (of picked) tagged(tag string) bool {
	stem, _, _ := strings.Cut(tag, "-")
	return slices.Contains(of.tags, tag) || of.stems[stem] && slices.Contains(of.tags, stem)
}

// name keeps a word that is a tag or a bin, and says whether it is.
func (of *picked) name(tx *sqlite.Tx, bins []string, word string) (bool, error) {
	word = stash.Fold(word)
	_, tagged, err := tx.PackageTagged(word)
	switch {
	case tagged || of.stems[word]:
		of.tags = append(of.tags, word)
	case slices.ContainsFunc(bins, func(bin string) bool { return stash.Fold(bin) == word }):
		of.bins = append(of.bins, word)
	default:
		return false, err
	}
	return true, err
}

// has says whether the words pick an item: one of the tags and bins, if there are any, and
// all other words. A bin's name picks what else has that word, too.
func (of picked) has(it show.Item) bool {
	if len(of.tags)+len(of.bins)+len(of.words) == 0 {
		return true
	}
	text := stash.British(strings.ToLower(strings.Join([]string{it.Tag, it.Yarn, it.Pack.Colour,
		it.Pack.Lot, it.Facts.Fibre.String()}, "\n")))
	if it.Recorded.Count != nil {
		text += "\n" + strings.ToLower(it.Recorded.Count.Written)
	}
	named := len(of.tags)+len(of.bins) == 0 || of.tagged(stash.Fold(it.Pack.Tag)) ||
		slices.ContainsFunc(of.bins, func(bin string) bool {
			return stash.Fold(it.Pack.Bin) == bin || strings.Contains(text, bin)
		})
	return named && !slices.ContainsFunc(of.words, func(word soughtWord) bool {
		return !strings.Contains(text, word.text) && !isSo(it, word.text) &&
			word.text != strings.ToLower(string(it.ID)) && !word.isFibre(it.Facts.Fibre)
	})
}
