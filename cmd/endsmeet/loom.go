package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func loomCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "loom", Category: groupMaking, ArgsUsage: "PIECE",
		Usage: "See how far the piece on the loom is, and what its warp can still give.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "woven", Usage: "`LENGTH` the tape reads so far under tension, all pieces of the warp together", Value: "0cm"},
			&cli.IntFlag{Name: "of", Usage: "the reading is of the `N`th piece on the warp; those before it are woven as planned"},
		},
		Action: action(e, 1, 1, loom),
	}
}

// loomShape is the JSON shape of `loom`.
type loomShape struct {
	Piece      string          `json:"piece"`
	Woven      measure.Length  `json:"woven_mm"`
	Tape       measure.Length  `json:"tape_more_mm"`
	Finished   measure.Length  `json:"finished_more_mm"`
	AfterPiece measure.Length  `json:"after_planned_finished_mm"`
	Weft       *measure.Length `json:"weft_allows_finished_mm"`
	Binding    string          `json:"binding"`
	Verdicts   verdict.Verdict `json:"verdicts"`
}

func loom(k *call) error {
	woven, err := measure.ParseLength(k.String("woven"))
	if err != nil {
		return fmt.Errorf("--woven: %w", err)
	}
	return k.view(func(tx *sqlite.Tx) error {
		piece, err := tx.FindPiece(k.Args().First())
		if err != nil {
			return err
		}
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		all, err := k.wovenInAll(piece, woven)
		if err != nil {
			return err
		}
		r, err := making.Remaining(shelf, piece, all)
		if err != nil {
			return err
		}
		shape := loomShape{piece.Name, r.Woven, r.Tape, r.Finished, r.AfterPiece, nil, r.Binding, verdict.Verdict{}}
		if shape.Verdicts, err = wovenVerdict(tx, piece.ID); err != nil {
			return err
		}
		if r.WeftKnown {
			shape.Weft = &r.Weft
		}
		return k.answer(shape, func(w io.Writer) { printLoom(w, shape, k.units) })
	})
}

// wovenInAll is what was woven of all pieces of a warp, where the tape reads so
// much of all of them, or of the one that --of says.
func (k *call) wovenInAll(p stash.Piece, reading measure.Length) (measure.Length, error) {
	n := k.Int("of")
	if !k.IsSet("of") || p.Plan == nil {
		return reading, nil
	}
	if most := max(1, p.Plan.Spec.Pieces); n < 1 || n > most {
		return 0, stash.Refuse(stash.CodeUsage, fmt.Sprintf("from 1 to %d", most), "the warp of %s has no piece %d", p.Name, n)
	}
	return measure.Length(n-1)*p.Plan.Tape + reading, nil
}

func printLoom(w io.Writer, r loomShape, units measure.System) {
	fmt.Fprintf(w, "%s: the tape can come %s further, which finishes as %s\n", stash.Clean(r.Piece), r.Tape.Cloth(units), r.Finished.Cloth(units))
	printWorse(w, r.Verdicts)
	if r.AfterPiece > 0 {
		fmt.Fprintf(w, "  when what was planned is woven, %s more could be finished beyond it, fringes between\n", r.AfterPiece.Cloth(units))
	} else {
		fmt.Fprintln(w, "  beyond what was planned nothing is left on this warp")
	}
	if r.Weft != nil {
		fmt.Fprintf(w, "  the weft there is allows %s from here; %s runs out first\n", r.Weft.Cloth(units), r.Binding)
	} else {
		fmt.Fprintln(w, "  how much weft is left is not known")
	}
}
