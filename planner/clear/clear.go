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
	"endsmeet/stash/fibre"
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

// rubberYears is the age from which rubber counts as perished: "over ten years
// old" (practice, stash, Y34: common practice, no source).
const rubberYears = 10

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
	Package stash.Package
	Yarn    stash.Yarn
	Why     Why
	// Words says it in full.
	Words string
	// Free is its mass that nothing has a claim on.
	Free measure.Mass
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
	small, err := smallest(shelf, q)
	if err != nil {
		return Answer{}, err
	}
	var out Answer
	for _, p := range shelf.Packages {
		if p.Retired || p.LentTo != "" || p.Yarn == "" {
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
func itemOf(shelf making.Shelf, q Query, small map[stash.PackageID]bool, p stash.Package) (Item, bool) {
	y := shelf.Yarns[p.Yarn]
	it := Item{Package: p, Yarn: y, Free: shelf.Free(p)}
	years, since := untouched(shelf.Now, p)
	switch {
	case slices.Contains(y.Hazards, "perished"):
		it.Why, it.Words = Perished, "is marked perished"
	case rubber(y) && age(shelf.Now, p) >= rubberYears:
		it.Why, it.Words = Perished, fmt.Sprintf("holds rubber, or elastic that may be, and is %d years old: rubber over ten years old perishes", age(shelf.Now, p))
	case y.Fit == stash.FitDiscard:
		it.Why, it.Words = Unfit, "is to be discarded"
	case p.Known && it.Free > 0 && small[p.ID]:
		it.Why, it.Words = TooSmall, "its lot makes no piece of any kind here, alone, as warp or as weft"
	case since != "" && years >= q.Years:
		it.Why, it.Words = Untouched, fmt.Sprintf("untouched for %d years, since %s", years, since)
	default:
		return it, false
	}
	return it, true
}

// rubber says whether a yarn holds natural rubber or elastic that may be.
func rubber(y stash.Yarn) bool {
	marked := slices.Contains(y.Hazards, "latex") || slices.Contains(y.Hazards, "possible latex")
	return marked || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Fibre.Info().Class == fibre.Rubber || p.Fibre == fibre.UnknownElastic
	})
}

// age is how many full years ago a package was acquired, as far as is known.
func age(now time.Time, p stash.Package) int {
	years, _ := yearsSince(now, p.Acquired, p.Arrived)
	return years
}

// untouched is how many full years a package has lain, and since when: since the
// last movement; where nothing was ever taken of it, since it was acquired, no
// matter how often it was weighed.
func untouched(now time.Time, p stash.Package) (int, string) {
	if p.Used+p.Spoiled+p.Given+p.Out == 0 {
		return yearsSince(now, p.Acquired, p.Arrived)
	}
	return yearsSince(now, "", p.Moved)
}

// yearsSince counts full years since a written day, or where there is none
// since a moment; a year alone is taken to its end.
func yearsSince(now time.Time, written string, moment time.Time) (int, string) {
	at, words := moment, moment.Format(time.DateOnly)
	for layout, last := range map[string][3]int{"2006": {1, 0, -1}, "2006-01": {0, 1, -1}, time.DateOnly: {}} {
		if t, err := time.Parse(layout, written); err == nil {
			at, words = t.AddDate(last[0], last[1], last[2]), written
		}
	}
	if at.IsZero() {
		return 0, ""
	}
	years := now.Year() - at.Year()
	if at.AddDate(years, 0, 0).After(now) {
		years--
	}
	return max(0, years), words
}
