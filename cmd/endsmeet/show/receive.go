package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash/measure"
)

// Received tells what came in.
func Received(w io.Writer, items []Item, units measure.System) {
	for _, it := range items {
		fmt.Fprintf(w, "received %s\n", it.Line(units))
	}
	for _, ask := range items[0].asks() {
		fmt.Fprintf(w, "  %s\n", ask)
	}
	if len(items) > 1 && !items[0].Amount.Known {
		var tags []string
		for _, it := range items[1:] {
			tags = append(tags, it.Tag)
		}
		fmt.Fprint(w, Wrap("and so the others: "+strings.Join(tags, ", "), "  ", RoomOf(w)))
	}
}
