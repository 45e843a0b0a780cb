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

// pack is what a search looks at of a package: what the planner knows of its strands,
// its length in the middle and at the low end, a yarn without a count taken by mass, and
// how it stands whatever the kind.
type pack struct {
	id          stash.PackageID
	label       string
	colour, dye string
	barred      string // why it can't be woven now
	longest     measure.Length
	mid, low    measure.Length
	at          int32 // the yarn's place in the stock
	knots       int32
	asked       bool
	retired     bool
	measured    bool
}

// strands are those of a package as the planner cuts them.
func (p *pack) strands() *fit.Package {
	return &fit.Package{Knots: int(p.knots), Longest: p.longest}
}

// lot is a bundle in a search: what it may serve there and the figures of its cloth.
type lot struct {
	*bundle
	asWarp, asWeft bool
	figures        *figures
}

// mass is what the lot weighs, in mg.
func (l *bundle) mass() float64 { return float64(l.length) * l.tex }

// windings counts the whole windings of yarn mm at the low end, or in the middle.
func (l *bundle) windings(yarn measure.Length, middle bool) int {
	n := 0
	for i := range l.packs {
		p := l.packs[i]
		at := p.low
		if middle {
			at = p.mid
		}
		n += p.strands().Windings(at, yarn)
	}
	return n
}

// ids lists the packages.
func (l *bundle) ids() []stash.PackageID {
	out := make([]stash.PackageID, len(l.packs))
	for i, p := range l.packs {
		out[i] = p.id
	}
	return out
}

// low95 is how many standard uncertainties below the estimate a length lies
// with 97.5 %.
const low95 = 1.959964

// gathering is what a query may choose from: the bundles of a stock, by the yarns
// that may serve.
type gathering struct {
	stock   *Stock
	shelf   making.Shelf
	query   Query
	bundles *bundles
	wares   []ware // by the places of the yarns in the stock
	only    naming // nil where the project names no packages
	leftOut []making.LeftOut
	fitness verdict.Fitness
	lots    []*lot // made when asked for, by rank
}

// ware is what a yarn may serve, or why not, and its figures.
type ware struct {
	noWarp, noWeft, out string
	asWarp, asWeft      bool
	figures             *figures
	seen                bool
}

// ware says what the yarn at a place may serve, worked out once.
func (g *gathering) ware(at int32) *ware {
	w := &g.wares[at]
	if w.seen {
		return w
	}
	is := g.stock.yarns[at]
	y := g.shelf.Yarns[is.id]
	y.ID = is.id
	*w = ware{noWarp: g.unfitAsWarp(y, is.strips), noWeft: g.unfitAsWeft(y, is.strips),
		out: g.against(y), seen: true}
	if w.out == "" {
		w.out = g.unfitFor(y, "")
	}
	f := g.query.Kind.Facts
	w.asWarp = w.out == "" && w.noWarp == "" && mayServe(y.ID, f.Warp)
	w.asWeft = w.out == "" && w.noWeft == "" && mayServe(y.ID, f.Weft)
	return w
}

// mayServe says whether a project leaves a role open, or names a yarn or some package
// for it.
func mayServe(id stash.YarnID, refs []stash.Ref) bool {
	return len(refs) == 0 || slices.ContainsFunc(refs, func(r stash.Ref) bool {
		return r.Package != "" || r.Yarn == id
	})
}

// gather takes from a stock what a query may choose from and says of every other
// package why not.
func (st *Stock) gather(q Query, figures *figurer) *gathering {
	g := &gathering{stock: st, shelf: st.shelf, query: q,
		wares: make([]ware, len(st.yarns)), fitness: verdict.FitnessOf(q.Kind)}
	names := func(r stash.Ref) bool { return r.Package != "" }
	if f := q.Kind.Facts; slices.ContainsFunc(f.Warp, names) || slices.ContainsFunc(f.Weft, names) {
		g.only = g.named
	}
	g.bundles = st.bundlesFor(g)
	for _, p := range st.packs {
		g.see(p)
	}
	g.figure(figures)
	return g
}

// see notes why a package may not be chosen.
func (g *gathering) see(p *pack) {
	if g.stock.skips(p) {
		return
	}
	w := g.ware(p.at)
	why := cmp.Or(w.out, p.barred)
	if why == "" && w.noWarp != "" && w.noWeft != "" {
		why = w.noWarp + ", and " + w.noWeft
	}
	switch {
	case why != "" && !p.retired:
		g.leave(p, why)
	case why == "" && (w.asWarp || w.asWeft) && g.serves(p) && !g.stock.long(p, g.query.Kind.Facts):
		g.leave(p, "its length is not known: weigh it, and record its count")
	}
}

// serves says whether the project leaves its packages open, or names this one.
func (g *gathering) serves(p *pack) bool {
	if g.only == nil {
		return true
	}
	asWarp, asWeft := g.only(p)
	return asWarp || asWeft
}

// figure gives every yarn its figures and leaves out the lots that have none.
func (g *gathering) figure(figures *figurer) {
	for _, b := range g.bundles.all {
		w := g.ware(b.at)
		if !(b.named.warp && w.asWarp) && !(b.named.weft && w.asWeft) {
			continue
		}
		if w.figures == nil {
			w.figures = figures.of(b.yarn)
		}
		if w.figures.ok && b.tex > 0 && b.length > 0 {
			continue
		}
		for _, one := range b.packs {
			g.leave(one, "no sett is known for it: record its count")
		}
	}
}

// lot is a bundle as the query may choose it, nil where it may not.
func (g *gathering) lot(b *bundle) *lot {
	if g.lots == nil {
		g.lots = make([]*lot, len(g.bundles.all))
	}
	if g.lots[b.rank] != nil {
		return g.lots[b.rank]
	}
	w := g.ware(b.at)
	l := &lot{b, b.named.warp && w.asWarp, b.named.weft && w.asWeft, w.figures}
	if !l.asWarp && !l.asWeft || !w.figures.ok || b.tex <= 0 || b.length <= 0 {
		return nil
	}
	g.lots[b.rank] = l
	return l
}

// all lists the lots in the order of their labels.
func (g *gathering) all() []*lot {
	var out []*lot
	for _, b := range g.bundles.all {
		if l := g.lot(b); l != nil {
			out = append(out, l)
		}
	}
	return out
}

// namedYarn says whether references name a yarn, or some package of it.
func (g *gathering) namedYarn(id stash.YarnID, refs []stash.Ref) bool {
	return slices.ContainsFunc(refs, func(r stash.Ref) bool {
		if r.Package == "" {
			return r.Yarn == id
		}
		i, found := g.stock.places[r.Package]
		return found && g.stock.yarns[g.stock.packs[i].at].id == id
	})
}

func (g *gathering) unfitAsWarp(y stash.Yarn, strips bool) string {
	switch {
	case y.Fit == stash.FitWeftOnly:
		return "is fit for weft only"
	case y.Tex() == 0:
		return "has no count, so how many ends it makes is not known"
	case g.namedYarn(y.ID, g.query.Kind.Facts.Warp):
		return ""
	case y.Fit == stash.FitSpaced:
		return "is fit for every second or third end only, not for a whole warp"
	case strips:
		return "is strips of cloth, which make no warp"
	}
	return g.unfitFor(y, stash.RoleWarp)
}

func (g *gathering) unfitAsWeft(y stash.Yarn, strips bool) string {
	switch {
	case g.query.Kind.Rag && g.namedYarn(y.ID, g.query.Kind.Facts.Weft):
		return "" // what a project names as its rags is rags
	case strips && !g.query.Kind.Rag && g.query.Kind.Project != "":
		return "is strips of cloth, and the project does not say how much of them a square metre takes (rag-per-m2)"
	case strips && !g.query.Kind.Rag:
		return "is strips of cloth, for rag weft"
	case !strips && g.query.Kind.Rag:
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

func (g *gathering) leave(p *pack, why string) {
	g.leftOut = append(g.leftOut, making.LeftOut{ID: p.id, Label: p.label, Reason: why})
}

// Low is the free length that a package has with 97.5 %, 0 where it is not known.
func Low(s making.Shelf, p stash.Package, b stash.ProjectFacts) measure.Length {
	length, spread, known := s.Span(p, b)
	if !known {
		return 0
	}
	return max(0, length-measure.Length(low95*float64(spread)))
}
