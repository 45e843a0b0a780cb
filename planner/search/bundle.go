package search

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
)

// bundle sorts the packages of a stock into bundles, in the order of their labels.
// Of the facts only those are used that make a bundling.
func (st *Stock) bundle(by bundling, facts stash.ProjectFacts, only naming) *bundles {
	out := &bundles{}
	at := map[stash.DyeLot]*bundle{}
	for _, p := range st.packs {
		if st.skips(p) || p.barred != "" {
			continue
		}
		asWarp, asWeft := true, true
		if only != nil {
			if asWarp, asWeft = only(p); !asWarp && !asWeft {
				continue
			}
		}
		lot := st.lotOf(p)
		if by.mix {
			lot.Dye = ""
		}
		b := at[lot]
		if b == nil {
			b = st.newBundle(p, facts)
			b.named.warp, b.named.weft = asWarp, asWeft
			at[lot] = b
			out.all = append(out.all, b)
		}
		if st.long(p, facts) {
			st.put(b, p)
		}
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

func (st *Stock) newBundle(p *pack, facts stash.ProjectFacts) *bundle {
	y := st.shelf.Yarns[st.yarns[p.at].id]
	return &bundle{yarn: st.yarns[p.at].id, at: p.at, of: p, label: p.label,
		colour: cmp.Or(strings.ToLower(p.colour), strings.ToLower(y.Name)),
		tex:    float64(st.shelf.TexFor(y, facts)) / 1e6}
}

// long says whether the length of a package is known, for a rag weft by its mass.
func (st *Stock) long(p *pack, facts stash.ProjectFacts) bool {
	return p.measured && (!st.countless || st.shelf.TexFor(st.shelf.Yarns[st.yarns[p.at].id], facts) > 0)
}

// put adds a package to its bundle.
func (st *Stock) put(b *bundle, p *pack) {
	b.packs = append(b.packs, p)
	if stash.Naturally(p.label, b.label) < 0 {
		b.label = p.label
	}
	b.length += p.mid
	b.low += p.low
	join := st.shelf.Settings.Join
	if more := p.strands().Joinable(p.low, join, 0); more > 0 {
		if b.join == 0 {
			b.join = join
		}
		b.join += more
	}
}

// isNamed says whether a project leaves a role open or names a package for it.
func isNamed(id stash.PackageID, yarn stash.YarnID, refs []stash.Ref) bool {
	return len(refs) == 0 || slices.ContainsFunc(refs, func(r stash.Ref) bool {
		return r.Package == id || r.Package == "" && r.Yarn == yarn
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
			b.roots[i] = b.heap(all, st)
		}
	}
}

func (b *bundles) heap(all []*bundle, st *Stock) int32 {
	at := int32(len(b.stacks))
	if len(all) == 1 {
		one := all[0]
		b.stacks = append(b.stacks, stack{count: 1, left: -1, right: -1, bundle: one,
			minRank: int32(one.rank), using: st.using == nil || st.using(st.lotOf(one.of)),
			length: point(float64(one.length)), low: float64(one.low), join: float64(one.join),
			part: float64(one.low) / float64(one.length)})
		return at
	}
	b.stacks = append(b.stacks, stack{})
	left := b.heap(all[:len(all)/2], st)
	right := b.heap(all[len(all)/2:], st)
	l, r := &b.stacks[left], &b.stacks[right]
	b.stacks[at] = stack{count: l.count + r.count, left: left, right: right,
		minRank: min(l.minRank, r.minRank), using: l.using || r.using,
		length: l.length.with(r.length), low: max(l.low, r.low), join: max(l.join, r.join),
		part: max(l.part, r.part)}
	return at
}
