package clear

import (
	"cmp"
	"context"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// smallest names the packages whose lots serve no kind at all, in no part, even
// with plenty of every other yarn.
func smallest(shelf making.Shelf, q Query) (map[stash.PackageID]bool, error) {
	small := map[stash.PackageID]bool{}
	for _, p := range shelf.Packages {
		small[p.ID] = true
	}
	for _, k := range q.Kinds {
		if len(k.Facts.Stripes) > 0 {
			continue
		}
		k.Facts.Warp, k.Facts.Weft = nil, nil
		enough, err := search.Enough(shelf, search.Query{Kind: k, Weights: q.Weights, Rest: q.Rest})
		if err != nil {
			return nil, err
		}
		for _, id := range enough {
			delete(small, id)
		}
	}
	for _, p := range shelf.Packages {
		if _, _, known := shelf.Span(p, stash.ProjectFacts{}); !known {
			delete(small, p.ID) // of unknown length: not known to be too small
		}
	}
	return small, nil
}

// maxPieces is how many pieces are proposed.
const maxPieces = 8

// perKind is how many answers of each kind are considered.
const perKind = 5

// uses proposes pieces that use up idle yarn: of all kinds the one that takes
// the most idle mass, then the next out of what is left, no lot twice.
func uses(ctx context.Context, shelf making.Shelf, q Query, items []Item) ([]Use, error) {
	idle := map[stash.PackageID]measure.Mass{}
	yarns := map[stash.YarnID]bool{}
	for _, it := range items {
		if it.Why == TooSmall || it.Why == Untouched {
			idle[it.Package.ID] = it.Available
			yarns[it.Package.Yarn] = true
		}
	}
	if len(idle) == 0 {
		return nil, nil
	}
	all, err := proposals(ctx, shelf, q, yarns, idle)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b Use) int {
		return cmp.Or(cmp.Compare(b.Idle, a.Idle), cmp.Compare(b.Piece.Score, a.Piece.Score))
	})
	var out []Use
	taken := map[stash.PackageID]bool{}
	for _, u := range all {
		ids := append(slices.Clone(u.Piece.Warp), u.Piece.Weft...)
		if u.Idle <= 0 || len(out) == maxPieces ||
			slices.ContainsFunc(ids, func(id stash.PackageID) bool { return taken[id] }) {
			continue
		}
		for _, id := range ids {
			taken[id] = true
		}
		out = append(out, u)
	}
	return out, nil
}

// proposals are the best pieces of each kind with idle yarn in them, using up
// counting before all else.
func proposals(ctx context.Context, shelf making.Shelf, q Query, yarns map[stash.YarnID]bool,
	idle map[stash.PackageID]measure.Mass) ([]Use, error) {
	var out []Use
	for _, k := range q.Kinds {
		if len(k.Facts.Stripes) > 0 {
			continue
		}
		found, err := search.Find(ctx, shelf, search.Query{
			Kind: k, Using: func(l search.Lot) bool { return yarns[l.Yarn] }, Top: perKind,
			Colours: 1, Rest: q.Rest, Weights: search.Weights{Size: 10, Use: 80, Rest: 10},
		})
		if err != nil {
			return nil, err
		}
		for _, a := range found.Answers {
			out = append(out, Use{a, idleIn(a, idle)})
		}
	}
	return out, nil
}

// idleIn is the idle mass that a piece takes.
func idleIn(a search.Answer, idle map[stash.PackageID]measure.Mass) measure.Mass {
	var sum measure.Mass
	for _, one := range a.Outcome.Allotments {
		if free, ok := idle[one.Package]; ok {
			sum += min(free, one.Mass)
		}
	}
	return sum
}
