package show

import (
	"fmt"
	"io"
	"time"

	"endsmeet/planner/due"
	"endsmeet/stash/measure"
)

// DueShape is the JSON shape of one thing that falls due.
type DueShape struct {
	Kind due.Kind `json:"kind"`
	Day  string   `json:"day"`
	Over bool     `json:"overdue"`
	ID   *string  `json:"id"`
	Text string   `json:"text"`
	Do   string   `json:"do"`

	Date time.Time `json:"-"`
}

// PrintDue prints what falls due within so many days, a day a paragraph.
func PrintDue(w io.Writer, all []DueShape, days int) {
	if len(all) == 0 {
		fmt.Fprintf(w, "Nothing falls due within %s.\n", measure.Counted(days, "day"))
		return
	}
	for _, it := range all {
		when := it.Day
		if it.Over {
			when += "  overdue"
		}
		fmt.Fprintln(w, when)
		fmt.Fprint(w, Wrap(it.Text+".", "  ", RoomOf(w)))
		fmt.Fprintf(w, "  %s\n", it.Do)
	}
}
