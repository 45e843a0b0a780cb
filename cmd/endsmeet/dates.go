package main

import (
	"fmt"
	"strings"
	"time"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/written"
)

// when reads --on: now where it is not given or names today, noon of another
// day, or the minute given. A date after tomorrow by this machine's clock
// is a slip until somebody insists; one that is nearer is taken and told, for it may be
// the clock that is wrong.
func (k *call) when() (time.Time, error) {
	now := k.env.now()
	at, err := parseWhen("--on", k.String("on"), now)
	if err == nil && !k.toldAhead {
		err = k.notAhead("--on "+stash.Clean(k.String("on")), at)
	}
	if err != nil || !at.After(now) || k.toldAhead {
		return at, err
	}
	k.toldAhead = true
	k.note("%s has not come yet by this machine's clock, which says %s: is the date right?",
		minute(at), minute(now))
	return at, nil
}

// notAhead asks about a date after tomorrow by this machine's clock.
func (k *call) notAhead(said string, at time.Time) error {
	now := k.env.now()
	y, m, d := now.Date()
	if at.Before(time.Date(y, m, d+2, 0, 0, 0, 0, now.Location())) {
		return nil
	}
	return k.asRead(fmt.Sprintf("%s is %s, and this machine's clock says %s: it has not come yet",
		said, minute(at), minute(now)))
}

func minute(t time.Time) string { return t.Format("2006-01-02 15:04") }

// parseWhen reads a day, or a day and a time such as "2026-11-25 17:30"; a day
// is taken at noon, and today as now. An error names the field.
func parseWhen(field, text string, now time.Time) (time.Time, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return now, nil
	}
	day, clock := text, "12:00"
	if at := strings.LastIndexAny(text, " T"); at > 0 && strings.Contains(text[at:], ":") {
		day, clock = text[:at], text[at+1:]
	}
	d, err := written.ParseDate(written.Absolute(day, now))
	if err == nil && d.String() == now.Format(time.DateOnly) && day == text {
		return now, nil
	}
	at, timeErr := time.ParseInLocation("2006-01-02 15:04", d.String()+" "+clock, now.Location())
	if err != nil || timeErr != nil || d.Note != "" {
		return at, &stash.ValueError{Field: field, Value: text, Problem: noDay(err, d),
			Hint: `write it as 2026-11-25, yesterday or "2026-11-25 17:30"`}
	}
	return at, nil
}

// noDay says why a date is no day.
func noDay(err error, d written.Date) string {
	switch {
	case err != nil:
		return written.AsError(err).Reason
	case d.Day == 0:
		return "which day of it?"
	}
	return "no such time"
}

// afterKnown is when something happens to packages and to a piece: as said, but
// never before what was known of them when it was recorded and is dated ahead of
// this machine's clock. No clock keeps anything from being recorded: it is put
// where it belongs, and asked about.
func (k *call) afterKnown(tx *sqlite.Tx, at, begun time.Time,
	packages ...stash.Package) time.Time {
	at = k.withinSaid(at, begun)
	last, name := begun, "the piece"
	for _, p := range packages {
		at = k.withinSaid(k.withinSaid(at, p.Arrived), p.Since)
		if t := tx.LastMoved(p); t.After(last) {
			last, name = t, p.Label()
		}
	}
	now := k.env.now()
	if !last.After(now) || !at.Before(last) {
		return at
	}
	last = last.In(now.Location())
	if last.Sub(now) < stash.ClockSlack {
		return last
	}
	k.note("this machine's clock says %s, and %s has an entry of %s: one of the two is wrong\n  recorded right after that entry; if that one is wrong: %s", minute(now), name, minute(last),
		stash.Command("redate", last.Format(time.DateOnly), now.Format(time.DateOnly)))
	return last
}

// weighedAt is when a weighing belongs: a day that was said and has passed is that
// day, whatever else is dated ahead.
func (k *call) weighedAt(tx *sqlite.Tx, at time.Time, p stash.Package) time.Time {
	if k.String("on") != "" && at.Before(k.env.now()) && !p.Arrived.After(k.env.now()) {
		return k.withinSaid(k.withinSaid(at, p.Arrived), p.Since)
	}
	return k.afterKnown(tx, at, time.Time{}, p)
}

// withinSaid is when something happened that cannot be before another: a day or a
// minute that was said holds both, where both were in it.
func (k *call) withinSaid(at, other time.Time) time.Time {
	said := 12 * time.Hour // a day is its noon
	switch on := k.String("on"); {
	case on == "":
		return at
	case strings.Contains(on, ":"):
		said = time.Minute
	}
	if d := other.Sub(at); d > 0 && d < said {
		return other
	}
	return at
}

// settled asks about what is recorded of packages for a time before they were first
// weighed; of those that were weighed later it says that this weight stands. Every
// command that takes or weighs yarn asks it before it records.
func (k *call) settled(at time.Time, before ...stash.Package) error {
	for _, p := range before {
		if err := k.asRead(p.Early(at)); err != nil {
			return err
		}
		if last := p.LastWeighed(); p.Known && last.After(at) {
			k.note("%s was weighed on %s, after that: what it holds stays as weighed then",
				p.Label(), minute(last.In(at.Location())))
		}
	}
	return nil
}

// packagesOf are packages of a shelf by their ids.
func packagesOf(s making.Shelf, ids []stash.PackageID) []stash.Package {
	var out []stash.Package
	for _, id := range ids {
		if p, found := s.Find(id); found {
			out = append(out, p)
		}
	}
	return out
}

// thereBy refuses a time at which one of the packages had not come yet.
func thereBy(at time.Time, packages []stash.Package) error {
	for _, p := range packages {
		if err := p.ThereBy(at); err != nil {
			return err
		}
	}
	return nil
}
