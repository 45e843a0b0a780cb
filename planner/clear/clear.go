// Package clear finds yarn that lies idle: untouched for years, too little for
// anything, unfit, perished; and pieces that would use up most of it. It
// is pure: the same shelf gives the same answer.
package clear

import (
	"cmp"
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
	ID    stash.PackageID
	Label string
	Yarn  string
	Why   Why
	// Words says it in full.
	Words string
	// Available is its mass that can be woven now, zero where it is not Known.
	Available measure.Mass
	// Left is its mass, whether or not it can be woven.
	Left  measure.Mass
	Known bool
	// Years is how long it has lain.
	Years int

	of stash.YarnID
}

// Answer is what lies idle and what would use it up.
type Answer struct {
	Items []Item
	// Pieces would use up idle yarn, the most mass first, no lot twice.
	Pieces []Use
	// Twice is yarn of one colour that was bought more than once.
	Twice []Again
	// Empty are the labels of items on the shelf of which nothing is left.
	Empty []string
}

// Use is a piece that uses up idle yarn.
type Use struct {
	Piece search.Answer
	// Idle is the mass of idle yarn that it takes.
	Idle measure.Mass
}

// Looking looks for what lies idle on a shelf.
type Looking struct {
	shelf making.Shelf
	stock *search.Stock
	query Query
	items []Item
	empty []string
	// bought is when each yarn was bought in each colour.
	bought map[sameYarn]*bought
	small  map[stash.PackageID]bool // whose lots serve no kind, as far as is known
}

// NewLooking begins to look on a shelf, which holds no more packages than its pieces were
// made of, into an empty stock. All packages are added, those too.
func NewLooking(shelf making.Shelf, stock *search.Stock, q Query) *Looking {
	return &Looking{shelf: shelf.Taught(), stock: stock, query: q,
		small: map[stash.PackageID]bool{}, bought: map[sameYarn]*bought{}}
}

// Add puts the next package into the stock and looks at it.
func (l *Looking) Add(p stash.Package) {
	l.stock.Add(p)
	_, _, measured := l.shelf.Span(p, stash.ProjectFacts{})
	if measured { // of unknown length: not known to be too small
		l.small[p.ID] = true
	}
	if p.Empty() && !p.Retired && !p.Overdrawn() {
		l.empty = append(l.empty, p.Label())
	}
	if p.Retired || p.LentTo != "" || p.Yarn == "" || p.Empty() {
		return
	}
	l.buy(p)
	if it := l.itemOf(p); it.Why != "" || measured && it.Available > 0 {
		l.items = append(l.items, it)
	}
}

// Idle lists what lies idle.
func (l *Looking) Idle(ctx context.Context) (Answer, error) {
	if err := l.smallest(); err != nil {
		return Answer{}, err
	}
	for i := range l.items {
		if it := &l.items[i]; it.Available > 0 && l.small[it.ID] && !it.unfit() {
			it.Why, it.Words = TooSmall,
				"its lot makes no piece of any kind here, alone, as warp or as weft"
		}
	}
	out := Answer{Items: slices.DeleteFunc(l.items, func(it Item) bool { return it.Why == "" })}
	slices.SortStableFunc(out.Items, func(a, b Item) int {
		return cmp.Or(rank(a.Why)-rank(b.Why), cmp.Compare(b.weight(), a.weight()))
	})
	out.Twice, out.Empty = l.again(), l.empty
	var err error
	out.Pieces, err = l.uses(ctx, out.Items)
	return out, err
}

// rank puts what cannot be used before the rest.
func rank(w Why) int { return min(slices.Index([]Why{Perished, Unfit, TooSmall, Untouched}, w), 2) }

// weight is how much lies idle, by how long.
func (it Item) weight() measure.Mass { return it.Available * measure.Mass(max(1, it.Years)) }

func (it *Item) unfit() bool { return it.Why == Perished || it.Why == Unfit }

// itemOf says whether and why a package is idle, whatever pieces there are.
func (l *Looking) itemOf(p stash.Package) Item {
	it := Item{ID: p.ID, Label: p.Label(), Yarn: l.shelf.Yarns[p.Yarn].Name, of: p.Yarn,
		Available: l.shelf.Available(p), Left: p.Held, Known: p.Known}
	years, since := Lain(l.shelf.Now, p)
	it.Years = years
	switch bar := l.shelf.Bar(p); {
	case bar == stash.BarPerished:
		it.Why, it.Words = Perished, l.shelf.Barred(p)
	case bar == stash.BarUnfit:
		it.Why, it.Words = Unfit, l.shelf.Barred(p)
	case since != "" && years >= l.query.Years:
		it.Why, it.Words = Untouched, fmt.Sprintf("untouched for %d years, since %s", years, since)
	}
	return it
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
