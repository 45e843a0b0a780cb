// Package clear finds yarn that lies idle: untouched for years, too little for
// anything, unfit, perished; and pieces that would use up most of it. It
// is pure: the same shelf gives the same answer.
package clear

import (
	"context"
	"fmt"
	"slices"
	"time"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Why is why a package is idle.
type Why string

// The reasons, gravest first.
const (
	Perished  Why = "perished"
	Unfit     Why = "unfit"
	TooSmall  Why = "too small"
	Untouched Why = "untouched"
)

// Query is what to look for.
type Query struct {
	// Years without a movement from which a package counts as untouched.
	Years int
	// Kinds are the pieces that yarn may be used for.
	Kinds   []kinds.Kind
	Weights search.Weights
	Rest    measure.Length
}

// Item is an idle package.
type Item struct {
	Package *stash.Package
	Yarn    string
	Why     Why
	// Words says it in full.
	Words string
	// Available is its mass that can be woven now.
	Available measure.Mass
}

// Answer is what lies idle and what would use it up.
type Answer struct {
	Items []Item
	// Pieces would use up idle yarn, the most mass first, no lot twice.
	Pieces []Use
}

// Use is a piece that uses up idle yarn.
type Use struct {
	Piece search.Answer
	// Idle is the mass of idle yarn that it takes.
	Idle measure.Mass
}

// Idle lists what lies idle on a shelf.
func Idle(ctx context.Context, shelf making.Shelf, q Query) (Answer, error) {
	shelf = shelf.Taught()
	small, err := smallest(search.NewStock(shelf, search.Query{}), shelf, q)
	if err != nil {
		return Answer{}, err
	}
	var out Answer
	for i := range shelf.Packages {
		p := &shelf.Packages[i]
		if p.Retired || p.LentTo != "" || p.Yarn == "" || p.Empty() {
			continue
		}
		if it, ok := itemOf(shelf, q, small, p); ok {
			out.Items = append(out.Items, it)
		}
	}
	slices.SortStableFunc(out.Items, func(a, b Item) int { return rank(a.Why) - rank(b.Why) })
	out.Pieces, err = uses(ctx, shelf, q, out.Items)
	return out, err
}

func rank(w Why) int { return slices.Index([]Why{Perished, Unfit, TooSmall, Untouched}, w) }

// itemOf says whether and why a package is idle.
func itemOf(shelf making.Shelf, q Query, small map[stash.PackageID]bool, p *stash.Package) (Item,
	bool) {
	it := Item{Package: p, Yarn: shelf.Yarns[p.Yarn].Name, Available: shelf.Available(*p)}
	years, since := Lain(shelf.Now, *p)
	switch bar := shelf.Bar(*p); {
	case bar == stash.BarPerished:
		it.Why, it.Words = Perished, shelf.Barred(*p)
	case bar == stash.BarUnfit:
		it.Why, it.Words = Unfit, shelf.Barred(*p)
	case it.Available > 0 && small[p.ID]:
		it.Why, it.Words = TooSmall,
			"its lot makes no piece of any kind here, alone, as warp or as weft"
	case since != "" && years >= q.Years:
		it.Why, it.Words = Untouched, fmt.Sprintf("untouched for %d years, since %s", years, since)
	default:
		return it, false
	}
	return it, true
}

// Lain is how many full years a package has lain, and since when: since the
// last movement; where nothing was ever taken of it, since it was acquired, no
// matter how often it was weighed.
func Lain(now time.Time, p stash.Package) (int, string) {
	if p.Used+p.Discarded+p.Given+p.Out == 0 {
		return stash.YearsSince(now, p.Acquired, p.Arrived)
	}
	return stash.YearsSince(now, "", p.Moved)
}
