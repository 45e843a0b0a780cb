package search

import (
	"slices"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// planning plans the answers of a search anew, each with the losses of its own
// yarns.
type planning struct {
	shelf   making.Shelf
	query   Query
	finder  *finder
	byID    map[stash.PackageID]int
	teaches []stash.PackageID // packages that finished pieces were made of
}

func newPlanner(shelf making.Shelf, q Query, f *finder) *planning {
	p := &planning{shelf: shelf, query: q, finder: f, byID: make(map[stash.PackageID]int, len(shelf.Packages))}
	for i := range shelf.Packages {
		p.byID[shelf.Packages[i].ID] = i
	}
	p.teaches = madeOf(shelf.Pieces)
	return p
}

func (p *planning) answer(f found) Answer {
	a := Answer{Kind: p.query.Kind, Scale: f.scale, Score: f.place.bound / 1000, Parts: f.parts, Weft: f.choice.weft.ids(), Notes: p.finder.pairs.notes(f.choice)}
	for _, w := range f.choice.warp {
		a.Warp = append(a.Warp, w.ids()...)
	}
	a.Brief = p.brief(f, a)
	if f.scale < 1000 {
		a.Short = p.finder.judge.try(f.choice, f.scale+1).short
	}
	a.Shelf = p.shelfOf(a)
	outcome, err := making.Plan(a.Shelf, a.Brief)
	if err != nil {
		a.Problem = err.Error()
	}
	a.Outcome = outcome
	for _, l := range f.choice.lots() {
		a.Rests = append(a.Rests, p.rest(f, l))
	}
	return a
}

// brief is the kind with the choice written into it.
func (p *planning) brief(f found, a Answer) stash.BriefFacts {
	b := p.query.Kind.Facts
	at := p.finder.judge.sizeAt(f.scale)
	b.Width, b.Length = at.width, at.length
	spec := p.finder.judge.spec(f.choice, at)
	b.Sett, b.Picks = spec.Cloth.Sett, spec.Cloth.Picks
	b.Warp, b.Weft = refs(a.Warp), refs(a.Weft)
	if len(f.choice.warp) > 1 {
		p.stripe(&b, f)
	}
	if p.query.Person != nil {
		b.For = p.query.Person.ID
	}
	return b
}

// stripe writes the ends of each colour as its stripes. Where loops of two ends
// are wound, or the words for the colours do not tell the packages apart, the
// stripes are left free.
func (p *planning) stripe(b *stash.BriefFacts, f found) {
	all := 0
	for _, n := range f.trial.ends {
		all += n
	}
	fixed, last := *b, len(f.choice.warp)-1
	for i, l := range f.choice.warp {
		fixed.Stripes = append(fixed.Stripes, stash.Stripe{Colour: l.colour, Ends: f.trial.ends[i]})
	}
	fixed.Stripes[0].Ends -= (b.Floats + 1) / 2
	fixed.Stripes[last].Ends -= b.Floats / 2
	if !b.Loops && p.apart(fixed, f) {
		*b = fixed
		return
	}
	b.StripeRule, b.LeastStripe = stash.StripesFree, leastShare(all, len(f.choice.warp))
}

// apart says whether every package of a warp serves the stripe that it is for.
func (p *planning) apart(b stash.BriefFacts, f found) bool {
	for i, l := range f.choice.warp {
		if b.Stripes[i].Ends < 1 {
			return false
		}
		for _, id := range l.ids() {
			if pack := p.shelf.Packages[p.byID[id]]; p.shelf.StripeOf(pack, b) != l.colour {
				return false
			}
		}
	}
	return true
}

func refs(ids []stash.PackageID) []stash.Ref {
	out := make([]stash.Ref, len(ids))
	for i, id := range ids {
		out[i] = stash.Ref{Package: id}
	}
	return out
}

// shelfOf is the shelf with the packages of an answer alone, and those that
// losses are learned from.
func (p *planning) shelfOf(a Answer) making.Shelf {
	s := p.shelf
	s.Packages = nil
	var at []int
	for _, ids := range [][]stash.PackageID{a.Warp, a.Weft, p.teaches} {
		for _, id := range ids {
			if i, ok := p.byID[id]; ok {
				at = append(at, i)
			}
		}
	}
	slices.Sort(at)
	for _, i := range slices.Compact(at) {
		s.Packages = append(s.Packages, p.shelf.Packages[i])
	}
	return s
}

// rest is what would remain of a lot, on the middle estimates.
func (p *planning) rest(f found, l *lot) Rest {
	left := max(0, l.length-p.finder.judge.usedOf(f.choice, l, f.trial))
	r := Rest{Packages: l.ids(), Length: &left, Useless: left > 0 && left < p.query.Rest}
	if p.shelf.Yarns[l.yarn].Tex() == 0 { // rags go by mass
		r.Length, r.Useless = nil, false
	}
	r.Mass = measure.Mass(float64(left) * l.tex)
	return r
}
