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
// is reckoned once, whether one kind is searched for or thirty.
type Stock struct {
	shelf making.Shelf
	from  func(stash.Package) bool
	using func(stash.DyeLot) bool
	// places are the packages by id; yarnAt says for each which of the yarns it is of.
	places     map[stash.PackageID]int
	yarnAt     []int32
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

// spun is a yarn of a stock.
type spun struct {
	stash.Yarn
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
	shelf = shelf.Taught()
	st := &Stock{shelf: shelf, from: q.From, using: q.Using, bundled: map[bundling]*bundles{},
		yarnPlaces: map[stash.YarnID]int32{}, sorts: map[string]int32{},
		places: make(map[stash.PackageID]int, len(shelf.Packages)),
		yarnAt: make([]int32, len(shelf.Packages)), teaches: madeOf(shelf.Pieces),
		taught: map[stash.YarnID]bool{}, own: shelf.OwnLosses(),
		learn: learn.Shelf{Yarns: shelf.Yarns, Settings: shelf.Settings}}
	for i := range shelf.Packages {
		st.places[shelf.Packages[i].ID] = i
	}
	if len(shelf.Pieces) > 0 {
		st.learn.Packages = learn.ByID(shelf.Packages)
	}
	st.weaver = learn.NewWeaver(shelf.Pieces, st.learn)
	for _, id := range st.teaches {
		st.taught[st.learn.Package(id).Yarn] = true
	}
	for i := range shelf.Packages {
		st.yarnAt[i] = st.place(shelf.Packages[i].Yarn)
	}
	return st
}

// place gives a yarn its place in the stock.
func (st *Stock) place(id stash.YarnID) int32 {
	at, known := st.yarnPlaces[id]
	if known {
		return at
	}
	y := st.shelf.Yarns[id]
	y.ID = id
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
	st.yarns = append(st.yarns, spun{y, strips(y), sort})
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

// find gives a package of the stock.
func (st *Stock) find(id stash.PackageID) (*stash.Package, bool) {
	i, found := st.places[id]
	if !found {
		return nil, false
	}
	return &st.shelf.Packages[i], true
}

// bundle is all free packages of one yarn, colour and dye lot.
type bundle struct {
	rank int // its place in the order of labels
	yarn stash.YarnID
	at   int32 // the yarn's place in the stock
	of   stash.DyeLot
	// named says whether the project lets it serve as warp and as weft.
	named struct{ warp, weft bool }
	label string
	// colour is what the colour is called, in small letters.
	colour string
	packs  []pack
	// length is the middle length, low the low one, in mm; tex the count in mg/mm.
	length, low measure.Length
	tex         float64
	// join is what the weft can take of it at the low end, one join charged back.
	join measure.Length
}

// bundles are the packages of a stock, bundled, and how every package stands.
type bundles struct {
	all       []*bundle
	standings []standing
	stacks    []stack
	roots     []int32 // of each sort, into stacks; -1 for one that nothing is free of
}

// standing is how a package stands, whatever the kind.
type standing struct {
	// skipped was not asked for; barred says why it can't be woven now.
	skipped bool
	barred  string
	// unknown has a length that is not known.
	unknown bool
}

// naming limits what packages may serve to those that a project names; nil does not.
type naming func(p *stash.Package, yarn int32) (asWarp, asWeft bool)

// bundlesFor are the packages bundled as a query wants them.
func (st *Stock) bundlesFor(g *gathering) *bundles {
	f := g.query.Kind.Facts
	by := bundling{f.MixLots != nil && *f.MixLots, f.RagPerM2 > 0 && st.countless}
	names := func(r stash.Ref) bool { return r.Package != "" }
	if slices.ContainsFunc(f.Warp, names) || slices.ContainsFunc(f.Weft, names) {
		return st.bundle(by, f, g.named)
	}
	if st.bundled[by] == nil {
		st.bundled[by] = st.bundle(by, f, nil)
	}
	return st.bundled[by]
}

// named says what a package may serve where the project names packages.
func (g *gathering) named(p *stash.Package, at int32) (asWarp, asWeft bool) {
	w, f := g.ware(at), g.query.Kind.Facts
	return w.asWarp && isNamed(p, f.Warp), w.asWeft && isNamed(p, f.Weft)
}
