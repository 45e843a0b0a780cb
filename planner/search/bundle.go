package search

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// bundle sorts the packages of a stock into bundles, in the order of their labels.
// Of the facts only those are used that make a bundling.
func (st *Stock) bundle(by bundling, facts stash.ProjectFacts, only naming) *bundles {
	out := &bundles{standings: make([]standing, len(st.shelf.Packages))}
	at := map[stash.DyeLot]*bundle{}
	for i := range st.shelf.Packages {
		p, s := &st.shelf.Packages[i], &out.standings[i]
		if *s = st.standingOf(p); s.skipped || s.barred != "" {
			continue
		}
		asWarp, asWeft := true, true
		if only != nil {
			if asWarp, asWeft = only(p, st.yarnAt[i]); !asWarp && !asWeft {
				continue
			}
		}
		b := at[by.lotOf(p)]
		if b == nil {
			b = st.newBundle(p, st.yarnAt[i], facts)
			b.named.warp, b.named.weft = asWarp, asWeft
			at[by.lotOf(p)] = b
			out.all = append(out.all, b)
		}
		s.unknown = !st.put(b, p, facts)
	}
	out.all = slices.DeleteFunc(out.all, func(b *bundle) bool { return len(b.packs) == 0 })
	slices.SortStableFunc(out.all, func(a, b *bundle) int {
		return cmp.Or(stash.Naturally(a.label, b.label), cmp.Compare(a.packs[0].id, b.packs[0].id))
	})
	for i, b := range out.all {
		b.rank = i
	}
	out.stack(st)
	return out
}

// lotOf is the lot that a package is chosen with: its own, or where lots are mixed
// all of its yarn and colour.
func (by bundling) lotOf(p *stash.Package) stash.DyeLot {
	l := p.InLot()
	if by.mix {
		l.Dye = ""
	}
	return l
}

func (st *Stock) standingOf(p *stash.Package) standing {
	if st.from != nil && !st.from(*p) && (st.using == nil || !st.using(p.InLot())) {
		return standing{skipped: true}
	}
	return standing{barred: st.shelf.Barred(*p)}
}

func (st *Stock) newBundle(p *stash.Package, at int32, facts stash.ProjectFacts) *bundle {
	y := &st.yarns[at]
	return &bundle{yarn: p.Yarn, at: at, of: p.InLot(), label: p.Label(),
		colour: cmp.Or(strings.ToLower(p.Colour), strings.ToLower(y.Name)),
		tex:    float64(st.shelf.TexFor(y.Yarn, facts)) / 1e6}
}

// put adds a package to its bundle; false where its length is not known.
func (st *Stock) put(b *bundle, p *stash.Package, facts stash.ProjectFacts) bool {
	length, spread, known := st.shelf.Span(*p, facts)
	if !known {
		return false
	}
	low := max(0, length-measure.Length(low95*float64(spread)))
	one := pack{id: p.ID, mid: length, low: low, knots: p.Knots, longest: p.Longest}
	b.packs = append(b.packs, one)
	if stash.Naturally(p.Label(), b.label) < 0 {
		b.label = p.Label()
	}
	b.length += length
	b.low += low
	join := st.shelf.Settings.Join
	if more := one.strands().Joinable(low, join, 0); more > 0 {
		if b.join == 0 {
			b.join = join
		}
		b.join += more
	}
	return true
}

// isNamed says whether a project leaves a role open or names the package for it.
func isNamed(p *stash.Package, refs []stash.Ref) bool {
	return len(refs) == 0 || slices.ContainsFunc(refs, func(r stash.Ref) bool {
		return r.Package == p.ID || r.Package == "" && r.Yarn == p.Yarn
	})
}

// stack is a heap of bundles of yarns of one sort: the extremes of what bounds rest on,
// whatever the kind.
type stack struct {
	count       int32
	left, right int32 // its halves; none for a single bundle
	bundle      *bundle
	minRank     int32
	using       bool // some of it is asked for
	length      span
	low, join   float64 // greatest
	part        float64 // greatest share of the length that low is
}

// stack heaps up the bundles of every sort, by their lengths.
func (b *bundles) stack(st *Stock) {
	of := make([][]*bundle, len(st.sorts))
	for _, one := range b.all {
		if sort := st.yarns[one.at].sort; one.tex > 0 && one.length > 0 {
			of[sort] = append(of[sort], one)
		}
	}
	b.roots = make([]int32, len(of))
	b.stacks = make([]stack, 0, 2*len(b.all))
	for i, all := range of {
		b.roots[i] = -1
		if len(all) > 0 {
			slices.SortFunc(all, func(a, b *bundle) int {
				return cmp.Or(cmp.Compare(a.length, b.length), cmp.Compare(a.rank, b.rank))
			})
			b.roots[i] = b.heap(all, st.using)
		}
	}
}

func (b *bundles) heap(all []*bundle, using func(stash.DyeLot) bool) int32 {
	at := int32(len(b.stacks))
	if len(all) == 1 {
		one := all[0]
		b.stacks = append(b.stacks, stack{count: 1, left: -1, right: -1, bundle: one,
			minRank: int32(one.rank), using: using == nil || using(one.of),
			length: point(float64(one.length)), low: float64(one.low), join: float64(one.join),
			part: float64(one.low) / float64(one.length)})
		return at
	}
	b.stacks = append(b.stacks, stack{})
	left := b.heap(all[:len(all)/2], using)
	right := b.heap(all[len(all)/2:], using)
	l, r := &b.stacks[left], &b.stacks[right]
	b.stacks[at] = stack{count: l.count + r.count, left: left, right: right,
		minRank: min(l.minRank, r.minRank), using: l.using || r.using,
		length: l.length.with(r.length), low: max(l.low, r.low), join: max(l.join, r.join),
		part: max(l.part, r.part)}
	return at
}
