// Package next ranks what a weaver could put on the loom: every open project, without
// being told which, by what is on the loom, what is promised, what the yarn allows and
// what uses up yarn that has lain longest. It is pure.
package next

import (
	"cmp"
	"slices"
	"time"

	"endsmeet/planner/chance"
	"endsmeet/planner/clear"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Open is a project of which no piece is finished, as it was looked into.
type Open struct {
	Project stash.Project
	// Piece is its piece that is planned or on the loom, nil for none.
	Piece *stash.Piece
	// Verdict is what the gate says of it; Why says in words why it could not be
	// planned at all, empty where it could.
	Verdict verdict.Verdict
	Why     string
	// Takes is the yarn that it would take.
	Takes []stash.Allotment
	// Size is what would come of it, zero for none.
	Width, Length measure.Length
	// Chance is the probability that the yarn is enough, where it is known.
	Chance *float64

	// Lain is the mass it takes of yarn that nobody has touched for longYears or more,
	// and Longest the longest of these.
	Lain    measure.Mass
	Longest int
	due     time.Time
}

// longYears is for how many years nobody has touched yarn that counts as lying long.
const longYears = 3

// soon is how far a promised day may be to come before all else (common practice,
// no source).
const soon = 60 * 24 * time.Hour

// Rank puts open projects in the order in which to take them up: what is on the loom;
// what is promised soon and can be made; what can be made, by how much yarn it uses
// up that has lain long; what cannot, the likeliest first.
func Rank(s making.Shelf, all []Open) []Open {
	for i := range all {
		all[i].look(s)
	}
	slices.SortStableFunc(all, func(a, b Open) int {
		return cmp.Or(
			cmp.Compare(a.group(s.Now), b.group(s.Now)),
			a.byDay(b, s.Now),
			cmp.Compare(b.Lain, a.Lain),
			cmp.Compare(b.chance(), a.chance()),
			cmp.Compare(a.Project.Name, b.Project.Name),
		)
	})
	return all
}

func (o *Open) look(s making.Shelf) {
	o.due, _ = stash.DayOf(o.Project.Due)
	for _, a := range o.Takes {
		p, found := s.Find(a.Package)
		if !found {
			continue
		}
		if years, _ := clear.Lain(s.Now, p); years >= longYears {
			o.Lain += a.Mass
			o.Longest = max(o.Longest, years)
		}
	}
}

// The groups, in their order.
const (
	onLoom = iota
	promisedSoon
	canBeMade
	cannot
	notPlanned
)

func (o Open) group(now time.Time) int {
	switch {
	case o.Piece != nil && o.Piece.State == stash.OnLoom:
		return onLoom
	case o.Why != "":
		return notPlanned
	case o.Verdict.Grade.Blocks():
		return cannot
	case !o.due.IsZero() && o.due.Sub(now) < soon:
		return promisedSoon
	}
	return canBeMade
}

// byDay puts the earlier promise first; a day far away counts only among what
// cannot be made.
func (o Open) byDay(other Open, now time.Time) int {
	if o.group(now) == canBeMade {
		return 0
	}
	if o.due.IsZero() != other.due.IsZero() {
		if o.due.IsZero() {
			return 1
		}
		return -1
	}
	return o.due.Compare(other.due)
}

func (o Open) chance() float64 {
	if o.Chance == nil {
		return -1
	}
	return *o.Chance
}

// Plan notes what a plan gives and takes.
func (o *Open) Plan(p making.Outcome) {
	record := p.Record()
	o.Takes, o.Width, o.Length = p.Allotments, record.Width, record.Length
	if p.Verdict != chance.Unknown {
		o.Chance = &p.Probability
	}
}
