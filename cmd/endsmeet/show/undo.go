package show

import (
	"fmt"
	"io"

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
