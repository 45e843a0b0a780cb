package search

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Stock is a shelf made ready for searches: what does not hang on the kind of piece
// is reckoned once, whether one kind is searched for or thirty. Of each package it keeps
// no more than a search looks at.
type Stock struct {
	shelf making.Shelf // of no more packages than its pieces were made of
	from  func(stash.Package) bool
	using func(stash.DyeLot) bool
	// full reads packages that answers are of, which are kept in read; err is the first
	// error of it.
	full Full
	read map[stash.PackageID]stash.Package
	err  error
	// packs are the packages in the order of the shelf, places by id.
	packs      []*pack
	places     map[stash.PackageID]int32
	yarns      []spun
	sorts      map[string]int32
	yarnPlaces map[stash.YarnID]int32
	bundled    map[bundling]*bundles
	teaches    []stash.PackageID // packages that finished pieces were made of
	learn      learn.Shelf
	weaver     *learn.Weaver
	taught     map[stash.YarnID]bool
	own        map[stash.YarnID]measure.Ratio
	countless  bool // there is yarn without a count
}

// Full reads packages by their ids, in any order.
type Full func([]stash.PackageID) ([]stash.Package, error)

// spun is a yarn of a stock.
type spun struct {
	id     stash.YarnID
	strips bool
	// sort is one for yarns that are alike in all that figures hang on, which those are
	// not that pieces were made of.
	sort int32
}

// bundling is by what the packages of a shelf are bundled: whether the lots of a
// yarn are mixed, and whether yarn without a count goes by mass.
type bundling struct{ mix, rag bool }

// NewStock makes a shelf ready for queries that ask from the same packages: From
// and Using of theirs are those of q.
func NewStock(shelf making.Shelf, q Query) *Stock {
	var st *Stock
	st = Empty(shelf, q, func(ids []stash.PackageID) (out []stash.Package, _ error) {
		for _, id := range ids {
			out = append(out, shelf.Packages[st.places[id]])
		}
		return out, nil
	})
	for _, p := range shelf.Packages {
		st.Add(p)
	}
	return st
}

// Empty is NewStock for a shelf of no more packages than its pieces were made of, to which
// all are added, those too, in their order. When answers are planned their packages are
// read in full.
func Empty(shelf making.Shelf, q Query, full Full) *Stock {
	shelf = shelf.Taught()
	st := &Stock{shelf: shelf, from: q.From, using: q.Using, full: full,
		read: map[stash.PackageID]stash.Package{}, bundled: map[bundling]*bundles{},
		yarnPlaces: map[stash.YarnID]int32{}, sorts: map[string]int32{},
		places: map[stash.PackageID]int32{}, taught: map[stash.YarnID]bool{}, own: shelf.OwnLosses(),
		learn: learn.Shelf{Yarns: shelf.Yarns, Settings: shelf.Settings}}
	if len(shelf.Pieces) > 0 {
		st.learn.Packages = learn.ByID(shelf.Packages)
	}
	st.weaver = learn.NewWeaver(shelf.Pieces, st.learn)
	for _, piece := range shelf.Pieces {
		st.teaches = append(st.teaches, piece.MadeOf()...)
	}
	for _, id := range st.teaches {
		st.taught[st.learn.Package(id).Yarn] = true
	}
	return st
}

// Ask makes a stock ready for queries that ask for other lots.
func (st *Stock) Ask(using func(stash.DyeLot) bool) {
	st.using = using
	clear(st.bundled)
}

// Add puts the next package into a stock.
func (st *Stock) Add(p stash.Package) {
	length, spread, measured := st.shelf.Span(p, stash.ProjectFacts{RagPerM2: 1})
	st.places[p.ID] = int32(len(st.packs))
	st.packs = append(st.packs, &pack{id: p.ID, label: p.Label(), at: st.place(p.Yarn),
		colour: p.Colour, dye: p.Lot, knots: int32(p.Knots), longest: p.Strand(st.shelf.Settings),
		asked: st.from == nil || st.from(p), retired: p.Retired, barred: st.shelf.Barred(p),
		measured: measured, mid: length,
		low: max(0, length-measure.Length(low95*float64(spread)))})
}

// place gives a yarn its place in the stock.
func (st *Stock) place(id stash.YarnID) int32 {
	at, known := st.yarnPlaces[id]
	if known {
		return at
	}
	y := st.shelf.Yarns[id]
	key := sortOf(y)
	if st.taught[id] {
		key = string(id)
	}
	sort, known := st.sorts[key]
	if !known {
		sort = int32(len(st.sorts))
		st.sorts[key] = sort
	}
	st.countless = st.countless || y.Tex() == 0
	at = int32(len(st.yarns))
	st.yarnPlaces[id] = at
	st.yarns = append(st.yarns, spun{id, strips(y), sort})
	return at
}

// sortOf says all that the figures of a yarn hang on.
func sortOf(y stash.Yarn) string {
	wash, source := "", ""
	if y.Wash != nil {
		wash = fmt.Sprint(*y.Wash)
	}
	if y.Count != nil {
		source = fmt.Sprint(y.Count.Source)
	}
	return strings.Join([]string{y.Fibre.String(), strings.Join(y.Construction, " "),
		string(y.Stretch), string(y.Shrinks), wash, source, fmt.Sprint(int64(y.Tex()))}, "|")
}

// lotOf is the lot of a package.
func (st *Stock) lotOf(p *pack) stash.DyeLot {
	return stash.DyeLot{Yarn: st.yarns[p.at].id, Colour: p.colour, Dye: p.dye}
}

// skips says that a package was not asked for.
func (st *Stock) skips(p *pack) bool {
	return !p.asked && (st.using == nil || !st.using(st.lotOf(p)))
}

// some are the packages with some ids in full, in the order of the shelf.
func (st *Stock) some(ids []stash.PackageID) (out []stash.Package) {
	var at []int32
	var unread []stash.PackageID
	for _, id := range ids {
		i, there := st.places[id]
		if !there {
			continue
		}
		at = append(at, i)
		if _, read := st.read[id]; !read {
			unread = append(unread, id)
		}
	}
	st.readMore(unread)
	slices.Sort(at)
	for _, i := range slices.Compact(at) {
		if p, read := st.read[st.packs[i].id]; read {
			out = append(out, p)
		}
	}
	return out
}

func (st *Stock) readMore(ids []stash.PackageID) {
	if len(ids) == 0 || st.err != nil {
		return
	}
	var packages []stash.Package
	packages, st.err = st.full(ids)
	for _, p := range packages {
		st.read[p.ID] = p
	}
}

// Err is the error of reading a package of an answer.
func (st *Stock) Err() error { return st.err }

// bundle is all free packages of one yarn, colour and dye lot.
type bundle struct {
	rank int // its place in the order of labels
	yarn stash.YarnID
	at   int32 // the yarn's place in the stock
	of   *pack // the package that it was begun with
	// named says whether the project lets it serve as warp and as weft.
	named struct{ warp, weft bool }
	label string
	// colour is what the colour is called, in small letters.
	colour string
	packs  []*pack
	// length is the middle length, low the low one, in mm; tex the count in mg/mm.
	length, low measure.Length
	tex         float64
	// join is what the weft can take of it at the low end, one join charged back.
	join measure.Length
}

// bundles are the packages of a stock, bundled.
type bundles struct {
	all    []*bundle
	stacks []stack
	roots  []int32 // of each sort, into stacks; -1 for one that nothing is free of
}

// naming limits what packages may serve to those that a project names; nil does not.
type naming func(p *pack) (asWarp, asWeft bool)

// bundlesFor are the packages bundled as a query wants them.
func (st *Stock) bundlesFor(g *gathering) *bundles {
	f := g.query.Kind.Facts
	by := bundling{f.MixLots != nil && *f.MixLots, f.RagPerM2 > 0 && st.countless}
	if g.only != nil {
		return st.bundle(by, f, g.only)
	}
	if st.bundled[by] == nil {
		st.bundled[by] = st.bundle(by, f, nil)
	}
	return st.bundled[by]
}

// named says what a package may serve where the project names packages.
func (g *gathering) named(p *pack) (asWarp, asWeft bool) {
	w, f, yarn := g.ware(p.at), g.query.Kind.Facts, g.stock.yarns[p.at].id
	return w.asWarp && isNamed(p.id, yarn, f.Warp), w.asWeft && isNamed(p.id, yarn, f.Weft)
}
