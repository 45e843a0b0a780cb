package main

import (
	"fmt"
	"io"
	"os"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/due"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func dueCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "due", Category: groupLooking,
		Usage: "See what falls due: quarantines, loans, promised dates, old rubber, stale weights.",
		Description: "Overdue things come first. A promised date is the project's: endsmeet project set NAME due=DATE. A loan has\n" +
			"one by lend --until; without, you are asked after 90 days. --ics writes a calendar that any calendar program reads.",
		Flags: []cli.Flag{
			&cli.IntFlag{Name: "days", Usage: "look `N` days ahead; a year for a calendar",
				Value: 30},
			&cli.StringFlag{Name: "ics",
				Usage: "write it as a calendar to this new `FILE`, or - for standard output"},
		},
		Action: action(e, 0, 0, dueDays),
	}
}

func dueDays(k *call) error {
	days := k.Int("days")
	if days < 0 {
		return stash.Refuse(stash.CodeUsage, "From 0 on.", "--days is a number of days.")
	}
	if !k.IsSet("ics") {
		return k.view(func(tx *sqlite.Tx) error {
			all, err := k.fallingDue(tx, days)
			if err != nil {
				return err
			}
			return k.answer(all, func(w io.Writer) { show.PrintDue(w, all, days) })
		})
	}
	if !k.IsSet("days") {
		days = 366
	}
	return k.exportFile(k.String("ics"), func(k *call, tx *sqlite.Tx, w io.Writer) error {
		all, err := k.fallingDue(tx, days)
		if err != nil {
			return err
		}
		return calendarOf(all, k.env.now()).SerializeTo(w, ics.WithNewLineWindows)
	})
}

// fallingDue lists what falls due within some days, and a stocktake that has not
// ended.
func (k *call) fallingDue(tx *sqlite.Tx, days int) ([]show.DueShape, error) {
	now := k.env.now()
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	s := due.Shelf{Now: now, Finished: map[stash.ProjectID]bool{},
		Last: today.AddDate(0, 0, days+1).Add(-time.Second)}
	var err error
	if s.Yarns, err = tx.YarnsByID(); err != nil {
		return nil, err
	}
	if s.Projects, err = tx.Projects(); err != nil {
		return nil, err
	}
	pieces, err := tx.Pieces(false)
	if err != nil {
		return nil, err
	}
	for _, p := range pieces {
		s.Finished[p.Project] = s.Finished[p.Project] || p.State == stash.Finished
	}
	settings, err := tx.Settings()
	if err != nil {
		return nil, err
	}
	s.StaleDays, s.Freezer = settings.StaleDays, settings.Freezer
	if err := tx.EachPackage(true, func(p stash.Package) error {
		s.Add(p)
		return nil
	}); err != nil {
		return nil, err
	}
	var out []show.DueShape
	for _, it := range s.Items() {
		out = append(out, show.DueShape{Kind: it.Kind, Day: it.Day.Format(time.DateOnly),
			Over: it.Day.Before(today),
			ID:   stash.Known(string(it.ID)), Text: it.Words, Do: it.Do, Date: it.Day})
	}
	if _, err := os.Stat(k.keptPath()); err == nil {
		out = append(out, show.DueShape{Kind: "stocktake", Day: today.Format(time.DateOnly),
			Text: "a stocktake was broken off", Do: "endsmeet stocktake", Date: today})
	}
	return out, nil
}

// calendarOf makes a calendar of whole days (RFC 5545). The name of an event stays
// the same from one writing to the next, so that a calendar that reads it again
// has it once.
func calendarOf(all []show.DueShape, now time.Time) *ics.Calendar {
	c := ics.NewCalendarFor("endsmeet")
	c.SetProductId("-//endsmeet//stash//EN")
	c.SetMethod(ics.MethodPublish)
	for i, it := range all {
		name := fmt.Sprintf("%s-%d", it.Kind, i)
		if it.ID != nil {
			name = string(it.Kind) + "-" + *it.ID
		}
		e := c.AddEvent(name + "@endsmeet")
		e.SetDtStampTime(now)
		e.SetAllDayStartAt(it.Date)
		e.SetAllDayEndAt(it.Date.AddDate(0, 0, 1))
		e.SetSummary(it.Text)
		e.SetDescription(it.Do)
		e.SetTimeTransparency(ics.TransparencyTransparent)
	}
	return c
}
