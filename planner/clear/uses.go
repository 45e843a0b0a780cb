package clear

import (
	"cmp"
	"context"
	"slices"

	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// smallest keeps the packages whose lots serve no kind at all, in no part, even
// with plenty of every other yarn.
func (l *Looking) smallest() error {
	for _, k := range l.query.Kinds {
		if k.Facts.FixedWarp() || len(l.small) == 0 {
			continue
		}
		k.Facts.Warp, k.Facts.Weft = nil, nil
		enough, err := l.stock.Enough(
			search.Query{Kind: k, Weights: l.query.Weights, Rest: l.query.Rest}, l.small)
		if err != nil {
			return err
		}
		for _, id := range enough {
			delete(l.small, id)
		}
	}
	return nil
}

// maxPieces is how many pieces are proposed.
const maxPieces = 8

// perKind is how many answers of each kind are considered.
const perKind = 5

// near is how much better, in thousandths of a score, another piece would have to be:
// of a shelf of many alike thousands use up the same.
const near = 10

// uses proposes pieces that use up idle yarn: of all kinds the one that takes
// the most idle mass, then the next out of what is left, no lot twice. By the figures
// of the search they are chosen, and only those are planned.
func (l *Looking) uses(ctx context.Context, items []Item) ([]Use, error) {
	idle := map[stash.PackageID]measure.Mass{}
	yarns := map[stash.YarnID]bool{}
	for _, it := range items {
		if it.Why == TooSmall || it.Why == Untouched {
			idle[it.ID] = it.Available
			yarns[it.of] = true
		}
	}
	if len(idle) == 0 {
		return nil, nil
	}
	all, err := l.proposals(ctx, yarns, idle)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b proposal) int {
		return cmp.Or(cmp.Compare(b.idle, a.idle), cmp.Compare(b.Score(), a.Score()))
	})
	var out []Use
	taken := map[stash.PackageID]bool{}
	for _, p := range all {
		if p.idle <= 0 || len(out) == maxPieces || p.takesOf(taken) {
			continue
		}
		answer, fits := p.Answer()
		if !fits || idleIn(answer, idle) <= 0 {
			continue
		}
		for _, id := range append(slices.Clone(answer.Warp), answer.Weft...) {
			taken[id] = true
		}
		out = append(out, Use{answer, idleIn(answer, idle)})
	}
	slices.SortStableFunc(out, func(a, b Use) int {
		return cmp.Or(cmp.Compare(b.Idle, a.Idle), cmp.Compare(b.Piece.Score, a.Piece.Score))
	})
	return out, l.stock.Err()
}

// proposal is a piece and the idle mass that it takes by the figures of the search.
type proposal struct {
	search.Candidate
	takes []search.Take
	idle  measure.Mass
}

func (p proposal) takesOf(taken map[stash.PackageID]bool) bool {
	return slices.ContainsFunc(p.takes, func(t search.Take) bool {
		return slices.ContainsFunc(t.Packages, func(id stash.PackageID) bool { return taken[id] })
	})
}

// proposals are the best pieces of each kind with idle yarn in them, using up
// counting before all else.
func (l *Looking) proposals(ctx context.Context, yarns map[stash.YarnID]bool,
	idle map[stash.PackageID]measure.Mass) ([]proposal, error) {
	var out []proposal
	ask := search.Query{Top: perKind, Colours: 1, Rest: l.query.Rest, Near: near, Weights: search.Weights{Size: 10, Use: 80, Rest: 10}}
	l.stock.Ask(func(lot stash.DyeLot) bool { return yarns[lot.Yarn] })
	for _, k := range l.query.Kinds {
		if k.Facts.FixedWarp() {
			continue
		}
		ask.Kind = k
		found, err := l.stock.Candidates(ctx, ask)
		if err != nil {
			return nil, err
		}
		for _, c := range found.Candidates {
			out = append(out, proposalOf(c, idle))
		}
	}
	return out, nil
}

// proposalOf reckons the idle mass that a piece takes: of each lot what is idle of it
// first.
func proposalOf(c search.Candidate, idle map[stash.PackageID]measure.Mass) proposal {
	p := proposal{Candidate: c, takes: c.Takes()}
	for _, t := range p.takes {
		var there measure.Mass
		for _, id := range t.Packages {
			there += idle[id]
		}
		p.idle += min(there, t.Mass)
	}
	return p
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
