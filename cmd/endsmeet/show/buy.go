package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
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
	Verdicts verdict.Verdict   `json:"verdicts"`
}

// words name the yarn with its grade, and what is to be checked of it.
func (i Instead) words() string {
	if i.Verdicts.Grade == verdict.Yes {
		return i.Yarn
	}
	worst := i.Verdicts.Answers[0]
	return i.Yarn + ", " + strings.TrimSuffix(worst.Words, ".")
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
		for n, i := range b.Instead {
			fmt.Fprint(w, Wrap([]string{"or take instead: ", "or "}[min(n, 1)]+i.words(), "  ", RoomOf(w)))
		}
		if len(b.Instead) == 0 {
			fmt.Fprintln(w, "  nothing on the shelf would do instead")
		}
	}
}
