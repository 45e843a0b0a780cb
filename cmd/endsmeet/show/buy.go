package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/share"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ToBuy is the JSON shape of a line of `share --open`.
type ToBuy struct {
	Piece string `json:"piece"`
	making.Buy
	Taken   []share.Taken `json:"taken_by"`
	Instead []Instead     `json:"instead"`
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
		if pieces+projects == 0 {
			fmt.Fprintln(w, "Nothing to buy: no piece is planned, and every project has one.")
			return
		}
		fmt.Fprintf(w, "Nothing to buy: the yarn is there for %s and %s without a piece.\n",
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
		if len(b.Taken) > 0 {
			var takers []string
			for _, t := range b.Taken {
				takers = append(takers, t.Mass.Format(units)+" to "+stash.Clean(t.Piece))
			}
			fmt.Fprint(w, Wrap("of what there is goes "+strings.Join(takers, ", "), "  ", RoomOf(w)))
		}
		for n, i := range b.Instead {
			fmt.Fprint(w, Wrap([]string{"or take instead: ", "or "}[min(n, 1)]+i.words(), "  ", RoomOf(w)))
		}
		if len(b.Instead) == 0 {
			fmt.Fprintln(w, "  nothing on the shelf would do instead")
		}
	}
	printBuySums(w, out, units)
}

// printBuySums prints what to buy in all of each yarn and colour that several lack.
func printBuySums(w io.Writer, out []ToBuy, units measure.System) {
	type yarn struct {
		id     stash.YarnID
		colour string
	}
	sums, times, done := map[yarn]making.Buy{}, map[yarn]int{}, map[yarn]bool{}
	of := func(b ToBuy) yarn { return yarn{b.Yarn, b.Colour} }
	for _, b := range out {
		if b.Against != "" {
			continue // that is not to be bought
		}
		sum := sums[of(b)]
		sum.Length, sum.Mass = sum.Length+b.Length, sum.Mass+b.Mass
		sums[of(b)] = sum
		times[of(b)]++
	}
	for _, b := range out {
		if y := of(b); times[y] > 1 && !done[y] && b.Against == "" {
			if len(done) == 0 {
				fmt.Fprintln(w)
			}
			done[y] = true
			fmt.Fprint(w, Wrap(fmt.Sprintf("in all %s of %s lacks", sums[y].Amount(units),
				stash.Clean(YarnColour(b.Name, stash.Known(b.Colour)))), "", RoomOf(w)))
		}
	}
}
