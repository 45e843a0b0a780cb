package show

import (
	"fmt"
	"io"

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
			fmt.Fprintf(w, "missing there: the head of %s\n", stash.Clean(g.Name))
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
