package stash

import (
	"fmt"
	"slices"
	"time"

	"endsmeet/stash/fibre"
)

// rubberYears is the age from which rubber counts as perished: "over ten years
// old" (practice, stash, Y34: common practice, no source).
const rubberYears = 10

// Perished says that yarn has gone weak: it is marked so, or a package holds
// rubber, or elastic that may be, too old to be relied on; empty if not.
func Perished(p Package, y YarnFacts, now time.Time) string {
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
	at, words := moment, moment.Format(time.DateOnly)
	for _, d := range writtenDays {
		if t, err := time.Parse(d.layout, written); err == nil {
			at, words = t.AddDate(d.years, d.months, d.days), written
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
