package search

import (
	"fmt"
	"math/rand/v2"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

var usualWeights = Weights{Size: 60, Use: 20, Rest: 10, Lots: 10}

// contents are fibres as people stash them; one is not known.
var contents = []string{"cotton 100", "wool 100", "linen 100", "cotton 60, linen 40", "silk 100",
	"wool (merino superwash) 70, silk 30", "acrylic 100", "alpaca 100", ""}

var builds = [][]string{nil, nil, {"woollen"}, {"worsted"}, {"singles"}, {"chenille"}, {"brushed"},
	{"strips"}}

// randomShelf draws yarns of several counts, lots and fits, with packages from
// a handful of grams to a cone, some of them thrums, knotted, lent or unknown.
func randomShelf(r *rand.Rand, yarns, packages int) making.Shelf {
	s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}}
	s.Settings.LoomWidth = 80 * measure.Centimetre
	for i := range yarns {
		y := stash.Yarn{ID: stash.YarnID(fmt.Sprintf("yarn%05d", i))}
		y.Name = fmt.Sprintf("Yarn %d", i)
		y.Fibre, _ = fibre.ParseContent(contents[r.IntN(len(contents))])
		y.Construction = builds[r.IntN(len(builds))]
		y.Count = &stash.CountFact{Count: measure.Count(60+r.IntN(400)) * measure.Tex,
			Source: measure.Label}
		switch r.IntN(8) {
		case 0:
			y.Fit = stash.FitWeftOnly
		case 1:
			y.Fit = stash.FitSpaced
		case 2, 3:
			y.Fit = stash.FitWarp
		}
		s.Yarns[y.ID] = y
	}
	for i := range packages {
		s.Packages = append(s.Packages, randomPackage(r, i, yarns))
	}
	return s
}

func randomPackage(r *rand.Rand, i, yarns int) stash.Package {
	n := r.IntN(yarns)
	p := stash.Package{ID: stash.PackageID(fmt.Sprintf("pack%06d", i))}
	p.Yarn, p.Tag = stash.YarnID(fmt.Sprintf("yarn%05d", n)), fmt.Sprintf("P%d", i)
	p.Colour, p.Lot = []string{"oat", "slate", "moss"}[r.IntN(3)], []string{"", "7", "8"}[r.IntN(3)]
	p.Known, p.Step = true, measure.Gram
	p.Held = measure.Mass(10+r.IntN(150)) * measure.Gram
	switch r.IntN(12) {
	case 0:
		p.Held *= 4
	case 1:
		p.Longest = measure.Length(40+r.IntN(400)) * measure.Centimetre
	case 2:
		p.Knots = 1 + r.IntN(3)
	case 3:
		p.LentTo = "a friend"
	case 4:
		p.Known = false
	}
	return p
}

// usualKind finds a usual piece.
func usualKind(name string) kinds.Kind {
	k, ok := kinds.Named(kinds.Usual(), name)
	if !ok {
		panic("no kind " + name)
	}
	return k
}
