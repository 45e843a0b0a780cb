package search

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// pack is one package of a lot: what the planner knows of its strands, and its
// length in the middle and at the low end.
type pack struct {
	id       stash.PackageID
	strands  fit.Package
	mid, low measure.Length
}

// lot is all free packages of one yarn, colour and dye lot.
type lot struct {
	rank  int // its place in the order of labels
	yarn  stash.YarnID
	of    Lot
	label string
	// colour is what the colour is called, in small letters.
	colour string
	packs  []pack
	// length is the middle length, low the low one, in mm; tex the count in mg/mm.
	length, low measure.Length
	tex         float64
	// join is what the weft can take of it at the low end, one join charged back.
	join measure.Length
	// asWarp and asWeft say what it may serve.
	asWarp, asWeft bool
	figures        *figures
}

// mass is what the lot weighs, in mg.
func (l *lot) mass() float64 { return float64(l.length) * l.tex }

// windings counts the whole windings of yarn mm at the low end.
func (l *lot) windings(yarn measure.Length) int {
	n := 0
	for i := range l.packs {
		n += l.packs[i].strands.Windings(l.packs[i].low, yarn)
	}
	return n
}

// ids lists the packages.
func (l *lot) ids() []stash.PackageID {
	out := make([]stash.PackageID, len(l.packs))
	for i, p := range l.packs {
		out[i] = p.id
	}
	return out
}

// low95 is how many standard uncertainties below the estimate a length lies
// with 97.5 %.
const low95 = 1.959964

// gathering sorts the packages of a shelf into lots.
type gathering struct {
	shelf   making.Shelf
	query   Query
	lots    []*lot
	leftOut []making.LeftOut
	barred  map[stash.YarnID]string
	parts   map[stash.YarnID]*parting
	fitness verdict.Fitness
}

// parting is what a yarn may serve, or why not.
type parting struct {
	noWarp, noWeft, out string
	colour              string // what its packages without a colour are called by
	tex                 float64
}

// part says what a yarn may serve, worked out once.
func (g *gathering) part(id stash.YarnID) *parting {
	p := g.parts[id]
	if p != nil {
		return p
	}
	y := g.shelf.Yarns[id]
	p = &parting{noWarp: g.unfitAsWarp(y), noWeft: g.unfitAsWeft(y), out: g.against(id),
		colour: strings.ToLower(y.Name)}
	if p.out == "" {
		p.out = g.unfitFor(y)
	}
	p.tex = float64(g.shelf.TexFor(y, g.query.Kind.Facts)) / 1e6
	g.parts[id] = p
	return p
}

// gather makes the lots that a query may choose from, in the order of their
// labels, and says of every other package why not.
func gather(shelf making.Shelf, q Query) *gathering {
	g := &gathering{shelf: shelf, query: q, barred: map[stash.YarnID]string{},
		parts: map[stash.YarnID]*parting{}, fitness: verdict.FitnessOf(q.Kind)}
	at := make(map[Lot]*lot)
	for i := range shelf.Packages {
		p := &shelf.Packages[i]
		asWarp, asWeft, ok := g.roles(p)
		if !ok {
			continue
		}
		k := g.together(*p)
		l := at[k]
		if l == nil {
			part := g.part(p.Yarn)
			l = &lot{yarn: p.Yarn, of: LotOf(*p), label: p.Label(),
				colour: cmp.Or(strings.ToLower(p.Colour), part.colour), asWarp: asWarp,
				asWeft: asWeft, tex: part.tex}
			at[k] = l
			g.lots = append(g.lots, l)
		}
		g.put(l, p)
	}
	g.lots = slices.DeleteFunc(g.lots, func(l *lot) bool { return len(l.packs) == 0 })
	slices.SortStableFunc(g.lots, func(a, b *lot) int {
		return cmp.Or(natural(a.label, b.label), cmp.Compare(a.packs[0].id, b.packs[0].id))
	})
	for i, l := range g.lots {
		l.rank = i
	}
	return g
}

// together is the lot that a package is chosen with: its own, or where the
// project allows lots to mix, all of its yarn and colour.
func (g *gathering) together(p stash.Package) Lot {
	l := LotOf(p)
	if mix := g.query.Kind.Facts.MixLots; mix != nil && *mix {
		l.Dye = ""
	}
	return l
}

// put adds a package to its lot.
func (g *gathering) put(l *lot, p *stash.Package) {
	length, spread, known := g.shelf.Span(*p, g.query.Kind.Facts)
	if !known {
		g.leave(p, "its length is not known: weigh it, and record its count")
		return
	}
	low := max(0, length-measure.Length(low95*float64(spread)))
	one := pack{id: p.ID, mid: length, low: low,
		strands: fit.Package{Knots: p.Knots, Longest: p.Longest}}
	l.packs = append(l.packs, one)
	if natural(p.Label(), l.label) < 0 {
		l.label = p.Label()
	}
	l.length += length
	l.low += low
	if join := g.shelf.Settings.Join; one.strands.Joinable(low, join, 0) > 0 {
		if l.join == 0 {
			l.join = join
		}
		l.join += one.strands.Joinable(low, join, 0)
	}
}

// roles says what a package may serve in the query; false if nothing, which is
// then noted.
func (g *gathering) roles(p *stash.Package) (asWarp, asWeft, ok bool) {
	if g.query.From != nil && !g.query.From(*p) &&
		(g.query.Using == nil || !g.query.Using(LotOf(*p))) {
		return false, false, false
	}
	part := g.part(p.Yarn)
	why := part.out
	if why == "" {
		why = g.shelf.Barred(*p)
	}
	if why == "" && part.noWarp != "" && part.noWeft != "" {
		why = part.noWarp + ", and " + part.noWeft
	}
	if why != "" {
		if !p.Retired {
			g.leave(p, why)
		}
		return false, false, false
	}
	asWarp = part.noWarp == "" && g.named(p, g.query.Kind.Facts.Warp)
	asWeft = part.noWeft == "" && g.named(p, g.query.Kind.Facts.Weft)
	return asWarp, asWeft, asWarp || asWeft
}

// named says whether the project leaves a role open or names the package for it.
func (g *gathering) named(p *stash.Package, refs []stash.Ref) bool {
	return len(refs) == 0 || slices.ContainsFunc(refs, func(r stash.Ref) bool {
		return r.Package == p.ID || r.Package == "" && r.Yarn == p.Yarn
	})
}

// namedYarn says whether references name a yarn, or some package of it.
func (g *gathering) namedYarn(id stash.YarnID, refs []stash.Ref) bool {
	return slices.ContainsFunc(refs, func(r stash.Ref) bool {
		if r.Package == "" {
			return r.Yarn == id
		}
		p, found := g.shelf.Find(r.Package)
		return found && p.Yarn == id
	})
}

func (g *gathering) unfitAsWarp(y stash.Yarn) string {
	switch {
	case y.Fit == stash.FitWeftOnly:
		return "is fit for weft only"
	case y.Tex() == 0:
		return "has no count, so how many ends it makes is not known"
	case g.namedYarn(y.ID, g.query.Kind.Facts.Warp):
		return ""
	case y.Fit == stash.FitSpaced:
		return "is fit for every second or third end only, not for a whole warp"
	case strips(y):
		return "is strips of cloth, which make no warp"
	}
	return ""
}

func (g *gathering) unfitAsWeft(y stash.Yarn) string {
	switch {
	case g.query.Kind.Rag && g.namedYarn(y.ID, g.query.Kind.Facts.Weft):
		return "" // what a project names as its rags is rags
	case strips(y) && !g.query.Kind.Rag && g.query.Kind.Project != "":
		return "is strips of cloth, and the project does not say how much of them a square metre takes (rag-per-m2)"
	case strips(y) && !g.query.Kind.Rag:
		return "is strips of cloth, for rag weft"
	case !strips(y) && g.query.Kind.Rag:
		return "is not recorded as strips of cloth (construction strips), of which a rag weft is"
	}
	return ""
}

// strips says whether a yarn is strips of cloth, by its construction or its name.
func strips(y stash.Yarn) bool {
	if slices.Contains(y.Construction, "strips") {
		return true
	}
	words := strings.FieldsFunc(strings.ToLower(y.Name),
		func(r rune) bool { return !unicode.IsLetter(r) })
	return len(y.Construction) == 0 &&
		(slices.ContainsFunc(words, func(w string) bool {
			return w == "strips" || w == "rags" ||
				w == "rag"
		}))
}

func (g *gathering) leave(p *stash.Package, why string) {
	g.leftOut = append(g.leftOut, making.LeftOut{ID: p.ID, Label: p.Label(), Reason: why})
}

// natural orders labels so that Y9 stands before Y10.
func natural(a, b string) int {
	for len(a) > 0 && len(b) > 0 {
		na, nb := digits(a), digits(b)
		if na > 0 && nb > 0 {
			x, y := strings.TrimLeft(a[:na], "0"), strings.TrimLeft(b[:nb], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[na:], b[nb:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

// digits counts the digits that s begins with.
func digits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}

// Low is the free length that a package has with 97.5 %, 0 where it is not known.
func Low(s making.Shelf, p stash.Package, b stash.ProjectFacts) measure.Length {
	length, spread, known := s.Span(p, b)
	if !known {
		return 0
	}
	return max(0, length-measure.Length(low95*float64(spread)))
}
