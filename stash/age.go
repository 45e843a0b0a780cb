package stash

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"endsmeet/stash/fibre"
)

// rubberYears is the age from which rubber counts as perished: "over ten years
// old" (common practice, no source).
const rubberYears = 10

// perished says that yarn has gone weak: it is marked so, or a package holds
// rubber, or elastic that may be, too old to be relied on; empty if not.
func perished(p Package, y YarnFacts, now time.Time) string {
	if slices.Contains(y.Hazards, "perished") {
		return "is marked perished"
	}
	if !rubber(y) {
		return ""
	}
	years, _ := YearsSince(now, p.Acquired, p.Arrived)
	if years < rubberYears {
		return ""
	}
	return fmt.Sprintf("holds rubber, or elastic that may be, and is %d years old: rubber over ten years old perishes", years)
}

// PerishesOn is the day on which a package's rubber, or elastic that may be, counts
// as too old; false where it holds none or of no known age.
func PerishesOn(p Package, y YarnFacts) (time.Time, bool) {
	at, _ := since(p.Acquired, p.Arrived)
	if !rubber(y) || at.IsZero() {
		return at, false
	}
	return at.AddDate(rubberYears, 0, 0), true
}

// rubber says whether a yarn holds natural rubber or elastic that may be.
func rubber(y YarnFacts) bool {
	marked := slices.Contains(y.Hazards, "latex") || slices.Contains(y.Hazards, "possible latex")
	return marked || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Fibre.Info().Class == fibre.Rubber || p.Fibre == fibre.UnknownElastic
	})
}

// writtenDays are the ways in which a day is written, and what takes each to its
// end: a year alone, a month, a day.
var writtenDays = []struct {
	layout              string
	years, months, days int
}{{"2006", 1, 0, -1}, {"2006-01", 0, 1, -1}, {time.DateOnly, 0, 0, 0}}

// YearsSince counts full years since a written day, or where there is none
// since a moment; a year alone is taken to its end.
func YearsSince(now time.Time, written string, moment time.Time) (int, string) {
	at, words := since(written, moment)
	if at.IsZero() {
		return 0, ""
	}
	years := now.Year() - at.Year()
	if at.AddDate(years, 0, 0).After(now) {
		years--
	}
	return max(0, years), words
}

// since is a written day, taken to its end, or where there is none a moment; and the
// words for it.
func since(written string, moment time.Time) (time.Time, string) {
	if at, dated := DayOf(written); dated {
		return at, written
	}
	return moment, moment.Format(time.DateOnly)
}

// DayOf is the day that a date is written for; a year or a month alone is taken to
// its end.
func DayOf(written string) (time.Time, bool) {
	for _, d := range writtenDays {
		if t, err := time.Parse(d.layout, written); err == nil {
			return t.AddDate(d.years, d.months, d.days), true
		}
	}
	return time.Time{}, false
}

// beginningOf is when the day, month or year that a date is written for begins.
func beginningOf(written string, where *time.Location) (time.Time, bool) {
	for _, d := range writtenDays {
		if t, err := time.ParseInLocation(d.layout, written, where); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// Ahead says which of some facts tells of a day after tomorrow though it tells what has
// happened; empty where none does. It is the one rule for every fact that has a date.
func (f Fields) Ahead(what What, now time.Time) string {
	y, m, d := now.Date()
	for _, field := range FieldsOf(what) {
		if !field.Past {
			continue
		}
		var q Quarantine
		_ = json.Unmarshal(f[field.Name], &q)
		said := cmp.Or(f.Text(field.Name), q.Since)
		begins, dated := beginningOf(said, now.Location())
		if dated && !begins.Before(time.Date(y, m, d+2, 0, 0, 0, 0, now.Location())) {
			return fmt.Sprintf("%s %s has not come yet: this machine's clock says %s", field.Name,
				said, now.Format("2006-01-02 15:04"))
		}
	}
	return ""
}

// acquiredBy says whether a package was acquired before a moment, by the date recorded.
func (p Package) acquiredBy(at time.Time) bool {
	since, dated := beginningOf(p.Acquired, at.Location())
	return dated && !at.Before(since)
}

// Stale says that a package was last weighed more than so many days ago; where nobody
// knows when, that it was recorded so long ago.
func (p Package) Stale(now time.Time, days int) bool {
	last := p.LastWeighed()
	return !last.IsZero() && now.Sub(last) > time.Duration(days)*24*time.Hour
}

// LastWeighed is when a package was weighed last, or, where nobody knows that, the moment
// by which it was.
func (p Package) LastWeighed() time.Time {
	if p.Weighed.IsZero() {
		return p.Since
	}
	return p.Weighed
}
