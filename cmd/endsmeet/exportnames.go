package main

import (
	"regexp"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// warnOfNames tells, where what is private stays out of an export, which names
// of people go out all the same: those that were typed where nothing is private,
// such as a loan, a note or the name of a project. Events cannot be changed, so
// that this is all that can be done.
func (k *call) warnOfNames(tx *sqlite.Tx) error {
	people, err := tx.Everybody()
	if err != nil || k.Bool("with-private") || len(people) == 0 {
		return err
	}
	var parts []string
	for _, p := range people {
		if name := strings.TrimSpace(p.Name); name != "" {
			parts = append(parts, regexp.QuoteMeta(name))
		}
	}
	if len(parts) == 0 {
		return nil
	}
	names, err := regexp.Compile(`(?i)(?:^|[^\pL\pN])(` + strings.Join(parts, "|") +
		`)(?:[^\pL\pN]|$)`)
	if err != nil {
		return err
	}
	var found []string
	events := 0
	err = tx.Events(false, func(e stash.Event) error {
		m := names.FindSubmatch(e.Raw)
		if m == nil {
			return k.ctx.Err()
		}
		events++
		if name := string(m[1]); !slices.Contains(found, name) {
			found = append(found, name)
		}
		return k.ctx.Err()
	})
	if err == nil && events > 0 {
		k.note("look before you give it away: %s with the name of somebody you recorded (%s), in loans, notes or names of projects, which are not private", measure.CountedAs(events, "entry", "entries"), strings.Join(found, ", "))
	}
	return err
}
