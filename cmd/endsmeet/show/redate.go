package show

import (
	"fmt"
	"io"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Redated is the JSON shape of dates that were mended.
type Redated struct {
	Machine string        `json:"machine"`
	Entries []RedatedItem `json:"entries"`
	// Questions are what items ask now that they did not ask before.
	Questions []string `json:"questions"`
}

// RedatedItem is one entry with its dates.
type RedatedItem struct {
	ID     stash.EventID `json:"id"`
	Text   string        `json:"text"`
	Before time.Time     `json:"before"`
	After  time.Time     `json:"after"`
}

// PrintRedated prints what was dated when, and is dated now, in a time zone.
func PrintRedated(w io.Writer, r Redated, local *time.Location) {
	minute := func(t time.Time) string { return t.In(local).Format("2006-01-02 15:04") }
	fmt.Fprintf(w, "%s recorded on %s, now %s:\n", measure.CountedAs(len(r.Entries), "entry",
		"entries"), r.Machine,
		AwayWords(r.Entries[0].After.Sub(r.Entries[0].Before)))
	t := NewTable("was", "is", "what happened")
	for i, e := range r.Entries {
		if i == mostUndone {
			break
		}
		t.Rows = append(t.Rows, []string{minute(e.Before), minute(e.After),
			stash.Clean(e.Text)})
	}
	t.Print(w)
	if more := len(r.Entries) - mostUndone; more > 0 {
		fmt.Fprintf(w, "and %s more\n", measure.CountedAs(more, "entry", "entries"))
	}
	for _, q := range r.Questions {
		fmt.Fprintf(w, "! %s\n", q)
	}
}

// AwayWords says how far dates move.
func AwayWords(by time.Duration) string {
	way := "later"
	if by < 0 {
		way, by = "earlier", -by
	}
	if by >= 24*time.Hour {
		return measure.Counted(int((by+12*time.Hour)/(24*time.Hour)), "day") + " " + way
	}
	if by%time.Hour == 0 {
		return measure.Counted(int(by/time.Hour), "hour") + " " + way
	}
	return measure.Counted(int(by/time.Minute), "minute") + " " + way
}
