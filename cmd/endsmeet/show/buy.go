package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ToBuy is the JSON shape of a line of `share --open`.
type ToBuy struct {
	Piece string `json:"piece"`
	making.Buy
	Instead []Instead `json:"instead"`
}

// Instead is yarn on the shelf that would do in the place of what lacks.
type Instead struct {
	Packages []stash.PackageID `json:"items"`
	Yarn     string            `json:"yarn"`
	Score    int               `json:"points"`
}

// PrintBuyList prints what to buy, a yarn a line.
func PrintBuyList(w io.Writer, out []ToBuy, pieces, projects int, units measure.System) {
	if len(out) == 0 {
		fmt.Fprintf(w, "nothing to buy: %s and %s without a piece, and all the yarn that they name is there\n",
			measure.Counted(pieces, "open piece"), measure.Counted(projects, "project"))
		return
	}
	piece := ""
	for _, b := range out {
		if b.Piece != piece {
			piece = b.Piece
			fmt.Fprintf(w, "%s\n", stash.Clean(piece))
		}
		fmt.Fprint(w, Wrap(BuyWords(b.Buy, units), "  ", RoomOf(w)))
		var names []string
		for _, i := range b.Instead {
			names = append(names, i.Yarn)
		}
		if len(names) > 0 {
			fmt.Fprint(w, Wrap("or take instead: "+strings.Join(names, "; or "), "  ", RoomOf(w)))
		} else {
			fmt.Fprintln(w, "  nothing on the shelf would do instead")
		}
	}
}
