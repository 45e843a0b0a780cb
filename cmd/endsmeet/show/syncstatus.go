package show

import (
	"fmt"
	"io"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
)

// SyncStatusAnswer is the JSON shape of `sync status`.
type SyncStatusAnswer struct {
	replica.Status
	Bad []BadObject `json:"bad"`
}

// PrintStatus tells which machines take part, what waits, and what is to be settled.
func PrintStatus(w io.Writer, s replica.Status, now time.Time) {
	fmt.Fprintf(w, "shared place  %s\n", stash.Clean(s.Place))
	if !s.Reached {
		fmt.Fprint(w, Wrap("cannot be asked now: "+Harmless(Plainly(s.Problem)), "              ",
			RoomOf(w)))
	}
	fmt.Fprintln(w)
	t := NewTable("machine", "id", ">here", ">there", "has seen of ours", "passed on last")
	for _, m := range s.Machines {
		t.Add(MachineWords(m.Machine), m.ID, fmt.Sprint(m.Here), numberOr(m.There, s.Reached),
			seenWords(m, s.Reached), lastWords(m.Last, now))
	}
	t.Print(w)
	fmt.Fprintln(w)
	switch {
	case s.Waiting > 0 || s.Outbox > 0:
		fmt.Fprintf(w, "%s to pass on with the next `endsmeet sync`\n",
			measure.CountedAs(int(s.Waiting), "event waits", "events wait"))
	default:
		fmt.Fprintln(w, "nothing waits to be passed on")
	}
	for _, m := range s.Machines {
		if longGone(m, now) {
			fmt.Fprintf(w, "%s was last heard of %s: `%s` if it is gone\n", stash.Clean(m.Name),
				m.Last.Format(time.DateOnly), stash.Command("sync devices remove", m.Name))
		}
	}
	if s.PrivateHere > 0 {
		fmt.Fprintf(w, "%s about people stay on this machine (config people.sync)\n",
			measure.Counted(int(s.PrivateHere), "event"))
	}
	if s.Locked != "" {
		fmt.Fprintf(w, "%s has changed the key and shut this machine out: `endsmeet sync leave --force`, then join again\n", stash.Clean(s.Locked))
	}
	for _, b := range s.Bad {
		fmt.Fprint(w, Wrap("not taken in since "+b.Found.Format(time.DateOnly)+": "+b.Name+": "+b.Problem, "", RoomOf(w)))
	}
	if len(s.Open) > 0 {
		fmt.Fprintln(w)
	}
	PrintOpen(w, s.Open, now)
}

// longUnheard is how long a machine may say nothing before its removal is
// suggested.
const longUnheard = 180 * 24 * time.Hour

func longGone(m replica.MachineNow, now time.Time) bool {
	return !m.Own && !m.Removed && !m.Last.IsZero() && now.Sub(m.Last) > longUnheard
}

// MachineWords is what a machine is called, and whether it is this one or was removed.
func MachineWords(m replica.Machine) string {
	switch {
	case m.Own:
		return m.Name + " (this one)"
	case m.Removed:
		return m.Name + " (removed)"
	}
	return m.Name
}

func numberOr(n int64, known bool) string {
	if !known {
		return "?"
	}
	return fmt.Sprint(n)
}

func seenWords(m replica.MachineNow, reached bool) string {
	switch {
	case m.Own:
		return ""
	case !reached:
		return "?"
	case m.SeenOurs >= m.Ours:
		return "all"
	}
	return fmt.Sprintf("%d of %d", m.SeenOurs, m.Ours)
}

// PrintOpen prints what asks to be settled and how.
func PrintOpen(w io.Writer, open []replica.Open, now time.Time) {
	if len(open) == 0 {
		fmt.Fprintln(w, "nothing disagrees")
		return
	}
	fmt.Fprintf(w, "%s to answer\n", measure.Counted(len(open), "question"))
	for _, o := range open {
		fmt.Fprint(w, Wrap(whatWords(o.What)+" "+o.Name+": "+o.Message, "  ",
			RoomOf(w)))
		if len(o.Values) > 0 {
			fmt.Fprintln(w, ValueLines(o, now))
		}
		fmt.Fprintf(w, "    answer: %s\n", stash.Clean(o.Settle))
	}
}

// whatWords is a kind of record as people say it.
func whatWords(what stash.What) string {
	if what == stash.WhatPackage {
		return "item"
	}
	return string(what)
}

// ValueLines are the values that are said of a field, numbered, and by whom.
func ValueLines(o replica.Open, now time.Time) string {
	lines := make([]string, len(o.Values))
	for i, v := range o.Values {
		lines[i] = fmt.Sprintf("      %d  %s  (%s, %s)", i+1,
			stash.Clean(stash.FactWords(o.What, o.Field, v)),
			stash.Clean(o.By[i]), o.At[i].In(now.Location()).Format("2006-01-02 15:04"))
	}
	return strings.Join(lines, "\n")
}
