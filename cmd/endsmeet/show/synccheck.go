package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
)

// PlaceChecked is the JSON shape of `sync check` and `sync repair`.
type PlaceChecked struct {
	OK bool `json:"ok"`
	replica.Checked
	Bad []BadObject `json:"bad"`
}

// CheckedWords says in one sentence what a check of the shared place found.
func CheckedWords(c replica.Checked) string {
	switch {
	case c.Locked > 0:
		return "not all in the shared place can be read here: its key was changed"
	case lacks(c):
		return "the shared place is not whole"
	}
	return "not all that the shared place tells of is here"
}

// CheckedHint says what to type about what a check found.
func CheckedHint(c replica.Checked) string {
	var hints []string
	if c.Locked > 0 {
		hints = append(hints, "if this machine was shut out: `endsmeet sync leave --force`, then join again with the new pass-phrase")
	}
	if lacks(c) {
		hints = append(hints, "`endsmeet sync repair` puts back what this machine has")
	}
	if len(c.Gaps) > 0 {
		hints = append(hints, "`endsmeet sync` takes in what is not here; what stays away, `endsmeet sync repair` on a machine that has it")
	}
	return strings.Join(hints, "; ")
}

// lacks says that something is missing or damaged in the shared place.
func lacks(c replica.Checked) bool { return len(c.Bad)+len(c.Missing)+len(c.Lost) > 0 }

// PrintChecked tells what is damaged or missing in the shared place, or that it is whole.
func PrintChecked(w io.Writer, c replica.Checked) {
	for _, b := range c.Bad {
		fmt.Fprintf(w, "damaged: %s\n", stash.Clean(b.Error()))
	}
	for _, g := range c.Gaps {
		fmt.Fprintf(w, "not here: %s of %s%s\n", eventsWords(g), stash.Clean(g.Name),
			HolderWords(g.Holders))
	}
	for _, g := range c.Missing {
		if g.From > g.To {
			fmt.Fprintf(w, "missing there: %s\n", LostWords(g))
			continue
		}
		fmt.Fprintf(w, "missing there: %s of %s\n", eventsWords(g), stash.Clean(g.Name))
	}
	for _, name := range c.Lost {
		fmt.Fprintf(w, "missing there: %s\n", name)
	}
	if c.Ignored > 0 {
		fmt.Fprintf(w, "left alone: %s not ours\n",
			measure.CountedAs(c.Ignored, "name that is", "names that are"))
	}
	if c.Superseded > 0 {
		fmt.Fprintf(w, "no more read: %s of removed machines or older keys\n",
			measure.Counted(c.Superseded, "object"))
	}
	if c.Locked > 0 {
		fmt.Fprintf(w, "not to be read here: %s under a key that this machine was not given\n",
			measure.Counted(c.Locked, "object"))
	}
	if c.Repaired > 0 {
		fmt.Fprintf(w, "put back %s\n", measure.Counted(c.Repaired, "object"))
	}
	if c.Cleared > 0 {
		fmt.Fprintf(w, "deleted %s\n", measure.Counted(c.Cleared, "damaged object"))
	}
	if c.OK() {
		fmt.Fprintf(w, "the shared place is whole: %s, %d read\n",
			measure.Counted(c.Objects, "object"), c.Read)
	}
}
