package main

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"endsmeet/cmd/endsmeet/show"
)

// TestTheCalendarIsReadByAnother reads the calendar with a library that did not write
// it, and holds every event against the answer.
func TestTheCalendarIsReadByAnother(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "Bought angora", "--fibre", "angora", "--net", "40g", "--tag", "A",
		"--quarantine", "2026-02-10..2026-03-10 bought")
	d.run("receive", "Linen", "--fibre", "linen", "--net", "50g", "--tag", "L")
	d.run("lend", "L", "--to", "Ada, of the guild; and her sister Änne, who weaves a great deal with it", "--until", "2026-04-20")
	d.run("project", "add", "scarf", "--due", "2026-05")
	d.run("due", "--ics", d.path("stash.ics"))
	var want []show.DueShape
	answer(t, d.run("--json", "due", "--days", "366"), &want)
	raw, err := os.ReadFile(d.path("stash.ics"))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(string(raw), "\r\n") {
		if len(line) > 75 || strings.Contains(line, "\n") {
			t.Errorf("a line is not folded, or not ended as RFC 5545 has it: %q", line)
		}
	}
	calendar, err := ical.NewDecoder(strings.NewReader(string(raw))).Decode()
	if err != nil {
		t.Fatal(err)
	}
	events := calendar.Events()
	if len(events) != len(want) || len(want) < 3 {
		t.Fatalf("%d events, %d fall due", len(events), len(want))
	}
	for i, e := range events {
		summary, err := e.Props.Text(ical.PropSummary)
		start, startErr := e.DateTimeStart(time.UTC)
		if err != nil || startErr != nil || summary != want[i].Text ||
			start.Format(time.DateOnly) != want[i].Day {
			t.Errorf("event %d: %q on %v, want %+v", i, summary, start, want[i])
		}
	}
	if again := d.run("due", "--ics", "-"); again != string(raw) {
		t.Error("written again it is another calendar")
	}
}
