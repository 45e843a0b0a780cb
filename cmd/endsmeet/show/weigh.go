package show

import (
	"fmt"
	"io"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// TellUnexplained says what a weighing found that the ledger did not know of.
func TellUnexplained(w io.Writer, before, after stash.Package, units measure.System) {
	if onLoom := after.Used - before.Used; onLoom != 0 {
		fmt.Fprintf(w, "  %s went onto the loom and counts to what is woven there\n",
			onLoom.Format(units))
	}
	gone := after.Unexplained - before.Unexplained
	switch {
	case gone > 0:
		fmt.Fprintf(w, "  %s less than expected; kept as \"unexplained\"\n", gone.Format(units))
	case gone < 0:
		fmt.Fprintf(w, "  %s more than expected; kept as \"unexplained\"\n",
			(-gone).Format(units))
	}
}
