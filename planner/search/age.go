package search

import (
	"fmt"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// rubberYears is the age from which rubber counts as perished: "over ten years
// old" (practice, stash, Y34: common practice, no source).
const rubberYears = 10

// OldRubber says that a package holds rubber too old to be relied on, or elastic
// that may be; empty if not.
func OldRubber(now time.Time, y stash.Yarn, p stash.Package) string {
	years, _ := YearsSince(now, p.Acquired, p.Arrived)
	if years < rubberYears || !rubber(y) {
		return ""
	}
	return fmt.Sprintf("holds rubber, or elastic that may be, and is %d years old: rubber over ten years old perishes", years)
}

// rubber says whether a yarn holds natural rubber or elastic that may be.
func rubber(y stash.Yarn) bool {
	marked := slices.Contains(y.Hazards, "latex") || slices.Contains(y.Hazards, "possible latex")
	return marked || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Fibre.Info().Class == fibre.Rubber || p.Fibre == fibre.UnknownElastic
	})
}

// YearsSince counts full years since a written day, or where there is none
// since a moment; a year alone is taken to its end.
func YearsSince(now time.Time, written string, moment time.Time) (int, string) {
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
