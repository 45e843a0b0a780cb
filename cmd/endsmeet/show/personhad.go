package show

import (
	"fmt"
	"io"
	"time"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// HadThing is something that a person has had: a piece, or yarn.
type HadThing struct {
	At    time.Time     `json:"at"`
	Piece *string       `json:"piece"`
	Item  *string       `json:"item"`
	Mass  *measure.Mass `json:"mass_mg"`
	// Number is how many of a set, Price what was paid for them.
	Number int          `json:"number,omitempty"`
	Price  *stash.Price `json:"price"`
	// Lent says that the yarn is a loan that is still out.
	Lent bool `json:"lent"`
	// Now is what the rules as they stand say of it, whenever it was had; nil without rules.
	Now *verdict.Answer `json:"now,omitempty"`

	Of    stash.Subject `json:"-"`
	Woven int           `json:"-"`
	Yarn  string        `json:"-"`
}

func printHad(w io.Writer, had []HadThing, units measure.System) {
	if len(had) > 0 {
		fmt.Fprintln(w, "  has had")
	}
	for _, h := range had {
		words := ""
		switch {
		case h.Piece != nil:
			words = *h.Piece + " " + PassedWords(stash.Passing{Number: h.Number, Price: h.Price},
				h.Woven, "")
		case h.Lent:
			words = fmt.Sprintf("%s %s, %s, on loan", *h.Item, h.Yarn, h.Mass.Format(units))
		default:
			words = fmt.Sprintf("%s %s, %s given", *h.Item, h.Yarn, h.Mass.Format(units))
		}
		fmt.Fprint(w, Wrap(h.At.Format(time.DateOnly)+"  "+stash.Clean(words), "    ", RoomOf(w)))
		if h.Now != nil && h.Now.Grade != verdict.Yes {
			text := "by the rules as they are now, " + h.Now.Words
			if h.Now.Grade.Blocks() {
				text += " Ask them whether it may stay with them."
			}
			fmt.Fprint(w, Wrap(text, "      ", RoomOf(w)))
		}
	}
}
