package main

import (
	"fmt"
	"io"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func (k *call) showPiece(tx *sqlite.Tx, p stash.Piece) error {
	past, err := tx.History(stash.Subject(p.ID))
	if err != nil {
		return err
	}
	events, err := k.pastItems(tx, past, "")
	if err != nil {
		return err
	}
	shape, err := pieceShape(p)
	if err != nil {
		return err
	}
	shape["events"] = events
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s: %s\n", stash.Clean(p.Name), p.State)
		printPieceSize(w, p, k.units)
		for _, q := range p.Question {
			fmt.Fprintf(w, "  question: %s\n", q)
		}
		for _, o := range p.Overrides {
			fmt.Fprint(w, wrap("a rule was set aside: "+o.Reason, "  ", 80))
		}
		printPast(w, events)
	})
}

func printPieceSize(w io.Writer, p stash.Piece, units measure.System) {
	if p.Plan != nil {
		fmt.Fprintf(w, "  planned   %s x %s, %d ends of %s\n", p.Plan.Width.Cloth(units), p.Plan.Length.Cloth(units), p.Plan.Ends, p.Plan.WarpEnd.Cloth(units))
		fmt.Fprintf(w, "  weave     until the tape, under tension, reads %s\n", p.Plan.Tape.Cloth(units))
	}
	if p.Finish != nil && p.Finish.Measures.Length > 0 {
		fmt.Fprintf(w, "  finished  %s x %s\n", p.Finish.Measures.Width.Cloth(units), p.Finish.Measures.Length.Cloth(units))
	}
}
