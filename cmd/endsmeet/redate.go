package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

func redateCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "redate", Category: groupYarn, ArgsUsage: "DATE DATE",
		Usage: "Correct the dates that a wrong clock gave to a day's entries.",
		Description: "The first DATE is the wrong one, the second the right one. All that a machine recorded\n" +
			"on the wrong day moves by as much, with what was reckoned from it: a quarantine, the day\n" +
			"something is due. With times, as in '2026-03-10 10:00' '2026-03-10 09:00', what was\n" +
			"recorded from then on until the end of that day moves by the difference.\n" +
			"Add --dry-run to look first. `undo` takes it back.",
		Flags: recorded(
			&cli.StringFlag{Name: "machine",
				Usage: "only what this `MACHINE` recorded; needed where several did that day"},
			&cli.StringFlag{Name: "through",
				Usage: "also the days after it, through this wrong `DATE`"}),
		Action: action(e, 2, 2, redate),
	}
}

// wrongDays is what a wrong clock showed, and how far it was off.
type wrongDays struct {
	from, until time.Time // until is the first moment that is right again
	by          time.Duration
}

func redate(k *call) error {
	wrong, err := k.wrongDays()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		machine, events, err := k.recordedOn(tx, wrong)
		if err != nil {
			return err
		}
		shape := show.Redated{Machine: machine}
		if shape.Entries, err = k.redatedItems(tx, events, wrong.by); err != nil {
			return err
		}
		before, err := questionsAbout(tx, events)
		if err != nil {
			return err
		}
		for _, d := range sqlite.DraftRedates(events, wrong.by) {
			if _, err := tx.Record(d); err != nil {
				return err
			}
		}
		after, err := questionsAbout(tx, events)
		if err != nil {
			return err
		}
		for _, q := range slices.Sorted(maps.Keys(after)) {
			if !before[q] {
				shape.Questions = append(shape.Questions, q)
			}
		}
		return k.answer(shape, func(w io.Writer) {
			show.PrintRedated(w, shape, k.env.now().Location())
		})
	})
}

// redatedItems tells what is moved, with its date before and after.
func (k *call) redatedItems(tx *sqlite.Tx, events []sqlite.Dated, by time.Duration) (
	[]show.RedatedItem, error) {
	var out []show.RedatedItem
	for _, e := range events {
		text, err := k.describe(tx, e.Event)
		if err != nil {
			return nil, err
		}
		out = append(out, show.RedatedItem{ID: e.ID(), Text: text, Before: e.At,
			After: e.After(by)})
	}
	return out, nil
}

// wrongDays reads which days were wrong and by how much.
func (k *call) wrongDays() (wrongDays, error) {
	var w wrongDays
	now := k.env.now()
	wrong, right := k.Args().Get(0), k.Args().Get(1)
	if strings.Contains(wrong, ":") != strings.Contains(right, ":") {
		return w, stash.Refuse(stash.CodeUsage,
			"endsmeet redate '2026-03-10 10:00' '2026-03-10 09:00'",
			"one of the two has a time and the other has none")
	}
	from, err := parseDay("the wrong date", wrong, now)
	if err != nil {
		return w, err
	}
	to, err := parseDay("the right date", right, now)
	if err != nil {
		return w, err
	}
	last := from
	if through := k.String("through"); through != "" {
		if last, err = parseDay("--through", through, now); err != nil {
			return w, err
		}
	}
	w.from, w.by = from, to.Sub(from)
	y, m, d := last.Date()
	w.until = time.Date(y, m, d+1, 0, 0, 0, 0, now.Location())
	switch {
	case w.by == 0:
		err = stash.Refuse(stash.CodeUsage, "name the wrong date first, then the right one",
			"the two dates are the same")
	case !w.until.After(w.from):
		err = stash.Refuse(stash.CodeUsage, "--through is the last day that is wrong",
			"--through is before the first of them")
	default:
		err = k.notAhead("the right date", to)
	}
	return w, err
}

// parseDay reads the beginning of a day, or the minute given; an error names the field.
func parseDay(field, text string, now time.Time) (time.Time, error) {
	if strings.TrimSpace(text) == "" {
		return now, &stash.ValueError{Field: field, Value: text, Problem: "a date is wanted here",
			Hint: "write it as 2026-11-25 or yesterday"}
	}
	at, err := parseWhen(field, text, now)
	if err != nil || strings.Contains(text, ":") {
		return at, err
	}
	y, m, d := at.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, now.Location()), nil
}

// recordedOn gives what one machine recorded on wrong days: the one that was named, or
// the only one that did.
func (k *call) recordedOn(tx *sqlite.Tx, w wrongDays) (string, []sqlite.Dated, error) {
	nameOf, self, err := k.machineNames(tx)
	if err != nil {
		return "", nil, err
	}
	events, err := tx.DatedEvents(func(e stash.Event) bool {
		return !e.At.Before(w.from) && e.At.Before(w.until)
	})
	if err != nil {
		return "", nil, err
	}
	by := map[string][]sqlite.Dated{}
	for _, e := range events {
		by[nameOf(e.Lane)] = append(by[nameOf(e.Lane)], e)
	}
	wanted := k.String("machine")
	if wanted == "this" {
		wanted = self
	}
	names := slices.Sorted(maps.Keys(by))
	if wanted == "" && len(names) == 1 {
		wanted = names[0]
	}
	for _, name := range names {
		if strings.EqualFold(name, wanted) {
			return name, by[name], nil
		}
	}
	day := w.from.Format(time.DateOnly)
	if len(names) == 0 {
		return "", nil, stash.Refuse(stash.CodeUnknown,
			"`endsmeet history` shows what was recorded when",
			"nothing was recorded on %s", day)
	}
	return "", nil, stash.Refuse(stash.CodeAmbiguous,
		"add --machine and one of: "+quotedAll(names),
		"on %s entries were recorded by %s", day, strings.Join(names, " and by "))
}

// thisMachine is this machine before it has a name.
const thisMachine = "this machine"

// machineNames names the machine that writes a lane; all that this one writes, whether
// or not it is passed on, goes by one name.
func (k *call) machineNames(tx *sqlite.Tx) (nameOf func(stash.Lane) string, self string,
	err error) {
	name, err := replica.MachineOf(tx)
	if err != nil {
		return nil, "", err
	}
	lanes, err := tx.Lanes()
	own := map[stash.Lane]bool{}
	for _, l := range lanes {
		if own[l.Name] = l.Own; l.Own && !l.Private {
			self = name(l.Name)
		}
		if strings.HasPrefix(self, "machine ") { // it has no name yet
			self = thisMachine
		}
	}
	return func(lane stash.Lane) string {
		if own[lane] && self != "" {
			return self
		}
		return name(lane)
	}, self, err
}

// quotedAll are names as they are typed.
func quotedAll(names []string) string {
	var out []string
	for _, name := range names {
		out = append(out, stash.Quote(name))
	}
	return strings.Join(out, ", ")
}

// questionsAbout is what the items ask that events touch.
func questionsAbout(tx *sqlite.Tx, events []sqlite.Dated) (map[string]bool, error) {
	asked, seen := map[string]bool{}, map[stash.Subject]bool{}
	for _, e := range events {
		for _, t := range stash.Touches(e.Line) {
			if t.What != stash.WhatPackage || seen[t.Subject] {
				continue
			}
			seen[t.Subject] = true
			p, _, err := tx.Package(stash.PackageID(t.Subject))
			if err != nil {
				return nil, err
			}
			for _, q := range p.Question {
				asked[p.Label()+": "+q] = true
			}
			if p.Before > 0 {
				asked[fmt.Sprintf("%s: %s had left it when it was first weighed, and came in as well", p.Label(), p.Before.Format(measure.Metric))] = true
			}
		}
	}
	return asked, nil
}

// describeRedate tells which day's dates were mended.
func describeRedate(e stash.Event, local *time.Location) string {
	var r stash.Redate
	_ = json.Unmarshal(e.Body, &r)
	wrong := time.UnixMilli(r.From).In(local)
	right := wrong.Add(time.Duration(r.Shift) * time.Millisecond)
	if wrong.Format(time.DateOnly) == right.Format(time.DateOnly) {
		return fmt.Sprintf("dates of %s moved, as of %s to %s", wrong.Format(time.DateOnly),
			wrong.Format("15:04"), right.Format("15:04"))
	}
	return fmt.Sprintf("dates of %s moved to %s", wrong.Format(time.DateOnly),
		right.Format(time.DateOnly))
}
