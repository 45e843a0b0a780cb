// Package due says what falls due on a shelf: quarantines that end, loans, promised
// dates, rubber that grows too old, readings and looks that have gone stale. It
// is pure.
package due

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"endsmeet/planner/care"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// Kind is what falls due.
type Kind string

// The kinds.
const (
	Promised   Kind = "promised"
	Quarantine Kind = "quarantine"
	Loan       Kind = "loan"
	Rubber     Kind = "rubber"
	Reading    Kind = "reading"
	Perished   Kind = "perished"
	Look       Kind = "look"
)

// Item is one thing that falls due.
type Item struct {
	Kind Kind
	// ID is of what it is about, empty for several.
	ID stash.Subject
	// Day is when; a day that has gone is overdue.
	Day   time.Time
	Words string
	// Do is a command to type then.
	Do string
}

// Shelf is what is looked at; its packages are added one after the other.
type Shelf struct {
	Yarns    map[stash.YarnID]stash.Yarn
	Projects []stash.Project
	// Finished are the projects of which a piece is finished, and needs nothing.
	Finished  map[stash.ProjectID]bool
	StaleDays int
	Freezer   int // how cold it is, 0 where nobody measured
	Now       time.Time
	// Last is the moment up to which is looked ahead.
	Last time.Time

	found                []Item
	stale, undated, look some
}

// some are packages of which the first few are named.
type some struct {
	first []stash.Package
	n     int
}

// The days after which something is asked about of which nobody set a date.
const (
	// a loan (common practice, no source)
	loanDays = 90
	// a quarantine: bag and hold two to four weeks (common practice, no source)
	quarantineDays = 28
	// a look for insects: at least once a year (a pest controller's advice)
	lookDays = 365
)

// Add looks at a package.
func (s *Shelf) Add(p stash.Package) {
	if p.Retired || p.Yarn == "" || p.Empty() && p.LentTo == "" {
		return
	}
	y := s.Yarns[p.Yarn]
	for _, one := range []func(stash.Package, stash.Yarn) (Item, bool){s.quarantine, s.loan,
		s.rubber} {
		if it, any := one(p, y); any {
			s.find(it)
		}
	}
	switch {
	case !p.Known || p.Held <= 0 || p.LentTo != "":
	case p.Stale(s.Now, s.StaleDays):
		s.stale.add(p)
	case p.Weighed.IsZero():
		s.undated.add(p)
	}
	if eaten(y) && p.LentTo == "" && p.Quarantine == nil && s.unseen(p) {
		s.look.add(p)
	}
}

// find notes what falls due, unless it is later.
func (s *Shelf) find(it Item) {
	if !it.Day.After(s.Last) {
		s.found = append(s.found, it)
	}
}

// Items lists what falls due, the earliest first.
func (s *Shelf) Items() []Item {
	s.promised()
	if s.stale.n > 0 {
		s.find(Item{Kind: Reading, Day: s.Now, Do: "endsmeet stocktake",
			Words: fmt.Sprintf("Not weighed for more than %d days: %s", s.StaleDays,
				s.stale.labels())})
	}
	if s.undated.n > 0 {
		s.find(Item{Kind: Reading, Day: s.Now, Do: "endsmeet stocktake",
			Words: "Not weighed on any known day: " + s.undated.labels()})
	}
	if s.look.n > 0 {
		s.find(Item{Kind: Look, Day: s.Now, Do: stash.Command("set", s.look.first[0].Label(),
			"aired="+s.Now.Format(time.DateOnly)),
			Words: "Of animal fibre, and not known to be aired and looked through for a year: " +
				s.look.labels()})
	}
	slices.SortStableFunc(s.found, func(a, b Item) int {
		return cmp.Or(a.Day.Compare(b.Day), strings.Compare(string(a.Kind), string(b.Kind)),
			strings.Compare(a.Words, b.Words))
	})
	return s.found
}

func (s *some) add(p stash.Package) {
	if s.n++; s.n <= stash.FewNamed+1 {
		s.first = append(s.first, p)
	}
}

// labels name a few packages and count the others.
func (s *some) labels() string {
	var names []string
	for _, p := range s.first {
		names = append(names, p.Label())
	}
	return stash.AndMore(names, s.n)
}

// day is a written day, taken to its end.
func day(text string, where *time.Location) (time.Time, bool) {
	t, dated := stash.DayOf(text)
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, where), dated
}

func (s *Shelf) quarantine(p stash.Package, _ stash.Yarn) (Item, bool) {
	q := p.Quarantine
	if q == nil {
		return Item{}, false
	}
	it := Item{Kind: Quarantine, ID: stash.Subject(p.ID),
		Do: stash.LiftQuarantine(p.Label())}
	_, plan, _, planned := care.Against(p, s.Freezer)
	free, _ := day(plan.Until, s.Now.Location())
	end, dated := day(q.Until, s.Now.Location())
	if dated {
		it.Day = end
		if p.Frozen != "" && planned && free.After(end) {
			it.Day = free
		}
		it.Words = fmt.Sprintf("%s: the quarantine ends; look for grubs, webs and cast skins before you lift it", p.Label())
		return it, true
	}
	since, known := day(q.Since, s.Now.Location())
	if !known {
		since = s.Now
	}
	it.Day = since.AddDate(0, 0, quarantineDays)
	if planned {
		it.Day = free
	}
	it.Words = fmt.Sprintf("%s: in quarantine since %s without an end; look, then lift it or set an end", p.Label(), cmp.Or(q.Since, "some day"))
	return it, true
}

func (s *Shelf) loan(p stash.Package, _ stash.Yarn) (Item, bool) {
	if p.LentTo == "" {
		return Item{}, false
	}
	it := Item{Kind: Loan, ID: stash.Subject(p.ID), Do: stash.Command("return", p.Label())}
	lent := p.LentAt.In(s.Now.Location()).Format(time.DateOnly)
	if back, dated := day(p.LentUntil, s.Now.Location()); dated {
		it.Day = back
		it.Words = fmt.Sprintf("%s: %s should give it back, lent on %s", p.Label(),
			stash.Clean(p.LentTo), lent)
		return it, true
	}
	it.Day = p.LentAt.In(s.Now.Location()).AddDate(0, 0, loanDays)
	it.Words = fmt.Sprintf("%s: lent to %s on %s without a day; ask", p.Label(),
		stash.Clean(p.LentTo), lent)
	return it, true
}

// rubber falls due on the day on which it counts as too old; what is perished already, or to
// be discarded, now.
func (s *Shelf) rubber(p stash.Package, y stash.Yarn) (Item, bool) {
	at, ages := stash.PerishesOn(p, y.YarnFacts)
	if gone := slices.Contains(y.Hazards, "perished"); gone || y.Fit == stash.FitDiscard {
		why := "is to be discarded"
		if gone {
			why = "is perished"
		}
		return Item{Kind: Perished, ID: stash.Subject(p.ID), Day: s.Now,
			Do:    stash.Command("retire --leftover discarded", p.Label()),
			Words: p.Label() + " " + why + ", and still on the shelf"}, true
	}
	if !ages {
		return Item{}, false
	}
	return Item{Kind: Rubber, ID: stash.Subject(p.ID), Day: at,
		Do:    stash.Command("show", p.Label()),
		Words: fmt.Sprintf("%s: rubber, or elastic that may be, is ten years old; stretch a piece and look for cracks", p.Label())}, true
}

func (s *Shelf) promised() {
	for _, b := range s.Projects {
		at, dated := day(b.Due, s.Now.Location())
		if !dated || s.Finished[b.ID] {
			continue
		}
		s.find(Item{Kind: Promised, ID: stash.Subject(b.ID), Day: at,
			Words: stash.Clean(b.Name) + " is promised", Do: stash.Command("plan", b.Name)})
	}
}

// eaten says whether moths and beetles eat a yarn: animal fibre, alone or in a blend.
func eaten(y stash.Yarn) bool {
	return slices.ContainsFunc(y.Fibre,
		func(p fibre.Part) bool { return p.Fibre.Info().Class.Protein() })
}

// unseen says that nobody is known to have looked a package through for a year: it was neither
// aired, washed nor frozen, and was bought longer ago, or nobody says when it came.
func (s *Shelf) unseen(p stash.Package) bool {
	last := p.Arrived
	if bought, dated := day(p.Acquired, s.Now.Location()); dated && bought.Before(last) {
		last = bought
	}
	for _, text := range []string{p.Aired, p.Washed, p.Frozen} {
		if t, dated := day(text, s.Now.Location()); dated && t.After(last) {
			last = t
		}
	}
	return last.IsZero() || s.Now.Sub(last) > lookDays*24*time.Hour
}
