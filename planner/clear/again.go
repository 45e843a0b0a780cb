package clear

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Again are the items of one yarn and colour that were bought more than once.
type Again struct {
	Yarn  string
	Items []string
	Mass  measure.Mass
}

// bought gathers the items of one yarn and colour.
type bought struct {
	Again
	day     string // on which the first was bought
	several bool
}

// sameYarn is what is bought again.
type sameYarn struct {
	yarn   stash.YarnID
	colour string
}

// buy takes down when an item was bought.
func (l *Looking) buy(p stash.Package) {
	if p.Acquired == "" {
		return
	}
	k := sameYarn{p.Yarn, strings.ToLower(p.Colour)}
	b := l.bought[k]
	if b == nil {
		b = &bought{day: p.Acquired, Again: Again{Yarn: strings.TrimSuffix(
			l.shelf.Yarns[p.Yarn].Name+", "+p.Colour, ", ")}}
		l.bought[k] = b
	}
	b.several = b.several || b.day != p.Acquired
	b.Items, b.Mass = append(b.Items, p.Label()), b.Mass+max(0, p.Held)
}

// again are those that were bought more than once, what there is most of first.
func (l *Looking) again() (out []Again) {
	for _, b := range l.bought {
		if b.several {
			out = append(out, b.Again)
		}
	}
	slices.SortFunc(out, func(a, b Again) int {
		return cmp.Or(cmp.Compare(b.Mass, a.Mass), cmp.Compare(a.Yarn, b.Yarn),
			slices.Compare(a.Items, b.Items))
	})
	return out
}
