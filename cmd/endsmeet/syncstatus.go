package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

// openQuestions lists what asks to be settled, machines by their names.
func (k *call) openQuestions(r *replica.Replica) ([]replica.Open, error) {
	s, err := k.open()
	if err != nil {
		return nil, err
	}
	machines, err := r.Devices(k.ctx)
	if err != nil {
		machines = nil // a stash without a shared place has questions too
	}
	var open []replica.Open
	err = s.View(k.ctx, func(tx *sqlite.Tx) (err error) {
		open, err = replica.OpenQuestions(tx, machineNames(machines))
		return err
	})
	return open, err
}

// noteQuestions says in one line how many questions between machines are open.
func (k *call) noteQuestions(tx *sqlite.Tx) error {
	n, err := replica.Asked(tx)
	if err == nil && n > 0 {
		k.note("%s between your machines to settle: `endsmeet sync settle` shows what",
			measure.Counted(n, "question"))
	}
	return err
}

func machineNames(machines []replica.Machine) func(stash.Lane) string {
	return func(lane stash.Lane) string {
		for _, m := range machines {
			if slices.Contains(m.Lanes, lane) {
				return m.Name
			}
		}
		return "lane " + string(lane[:6])
	}
}

// statusShape is the JSON shape of `sync status`.
type statusShape struct {
	replica.Status
	Bad []badShape `json:"bad"`
}

func syncStatus(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	s, err := r.Status(k.ctx)
	if err != nil {
		return err
	}
	shape := statusShape{Status: s, Bad: []badShape{}}
	for _, b := range s.Bad {
		shape.Bad = append(shape.Bad, badShape{Object: b.Name, Problem: b.Problem})
	}
	if s.Open == nil {
		shape.Open = []replica.Open{}
	}
	return k.told(k.answer(shape, func(w io.Writer) { printStatus(w, s, k.env.now()) }))
}

func printStatus(w io.Writer, s replica.Status, now time.Time) {
	fmt.Fprintf(w, "shared place  %s\n", stash.Clean(s.Place))
	if !s.Reached {
		fmt.Fprint(w, show.Wrap("cannot be asked now: "+show.Harmless(s.Problem), "              ",
			show.RoomOf(w)))
	}
	fmt.Fprintln(w)
	t := show.NewTable("machine", "id", ">here", ">there", "has seen of ours", "passed on last")
	for _, m := range s.Machines {
		t.Add(machineWords(m.Machine), m.ID, fmt.Sprint(m.Here), numberOr(m.There, s.Reached),
			seenWords(m, s.Reached), show.LastWords(m.Last, now))
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
		fmt.Fprint(w, show.Wrap("not taken in since "+b.Found.Format(time.DateOnly)+": "+b.Name+": "+b.Problem, "", show.RoomOf(w)))
	}
	if len(s.Open) > 0 {
		fmt.Fprintln(w)
	}
	printOpen(w, s.Open, now)
}

// longUnheard is how long a machine may say nothing before its removal is
// suggested.
const longUnheard = 180 * 24 * time.Hour

func longGone(m replica.MachineNow, now time.Time) bool {
	return !m.Own && !m.Removed && !m.Last.IsZero() && now.Sub(m.Last) > longUnheard
}

func machineWords(m replica.Machine) string {
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

// printOpen prints what asks to be settled and how.
func printOpen(w io.Writer, open []replica.Open, now time.Time) {
	if len(open) == 0 {
		fmt.Fprintln(w, "nothing disagrees")
		return
	}
	fmt.Fprintf(w, "%s to settle\n", measure.Counted(len(open), "question"))
	for _, o := range open {
		fmt.Fprint(w, show.Wrap(fmt.Sprintf("%s %s: %s", o.What, o.Name, o.Message), "  ",
			show.RoomOf(w)))
		if len(o.Values) > 0 {
			fmt.Fprintln(w, valueLines(o, now))
		}
		fmt.Fprintf(w, "    settle: %s\n", stash.Clean(o.Settle))
	}
}

// valueLines are the values that are said of a field, numbered, and by whom.
func valueLines(o replica.Open, now time.Time) string {
	lines := make([]string, len(o.Values))
	for i, v := range o.Values {
		lines[i] = fmt.Sprintf("      %d  %s  (%s, %s)", i+1,
			stash.Clean(show.FactWords(o.Field, v)),
			stash.Clean(o.By[i]), o.At[i].In(now.Location()).Format("2006-01-02 15:04"))
	}
	return strings.Join(lines, "\n")
}
