package show

import (
	"fmt"
	"io"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// mostUndone is how many events are told one by one.
const mostUndone = 20

// PrintUndone prints what was taken back.
func PrintUndone(w io.Writer, lines []string, before string) {
	for i, line := range lines {
		if i == mostUndone {
			fmt.Fprintf(w, "undone: and %s more\n", measure.Counted(len(lines)-i, "event"))
			break
		}
		fmt.Fprintln(w, line)
	}
	if before != "" {
		fmt.Fprintln(w, before)
	}
}

// Undone is the JSON shape of an undo.
type Undone struct {
	Act    stash.Act    `json:"act"`
	Events []UndoneItem `json:"events"`
}

// UndoneItem is one thing that an undo has put back.
type UndoneItem struct {
	ID   stash.EventID `json:"id"`
	Kind stash.Kind    `json:"kind"`
	Of   stash.Subject `json:"of"`
}

// Add tells of one more act.
func (u *Undone) Add(events []stash.Event) {
	if u.Act == "" {
		u.Act = events[0].ActOf()
	}
	for _, ev := range events {
		u.Events = append(u.Events, UndoneItem{ev.ID(), ev.Kind, ev.Of})
	}
}
