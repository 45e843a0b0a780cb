package main

import (
	"io"
	"math"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func anotherCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "another", Category: groupMaking, ArgsUsage: "PIECE",
		Usage: "Check whether the leftover yarn is enough for another piece, and how big.",
		Description: "Works with the figures of the first piece. The size you can rely on has 19 chances in 20.\n" +
			"Other sizes you can rely on are shown too: a narrower piece can be longer.",
		Flags:  append(drawingFlags(), sumsFlag(), exitFlag(exitsShort)),
		Action: action(e, 1, 1, another),
	}
}

func another(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		piece, shelf, err := pieceAndShelf(tx, k.Args().First())
		if err != nil {
			return unstarted(tx, k.Args().First(), err)
		}
		answer, err := making.Again(shelf, piece)
		if err != nil {
			return projectProblem(err)
		}
		whom, err := whomOf(tx, piece)
		if err != nil {
			return err
		}
		r := recipientFor(shelf, answer.Project, whom)
		shape := anotherAnswer(piece, answer, r)
		shape.Verdicts = verdict.OfAnother(shelf, piece, answer, whom)
		k.answerStatus(shape.Verdicts)
		if err := fillLeftovers(tx, shelf, &shape); err != nil {
			return err
		}
		if b, _, err := tx.Project(piece.Project); err != nil {
			return err
		} else if piece.State == stash.Planned {
			shape.Unwound = b.Name
		}
		if shape.OnWarp, err = stillOnWarp(tx, shelf, piece); err != nil {
			return err
		}
		sums := k.Bool("sums")
		if err := k.answer(shape,
			func(w io.Writer) { show.PrintAnother(w, shape, r, k.units, sums) }); err != nil {
			return err
		}
		return k.saveDrawing(secondCloth(piece.Name, answer, k.units),
			show.SizesOf(answer, k.units))
	})
}

// unstarted says where one more piece is asked for of a project of which none was started.
func unstarted(tx *sqlite.Tx, name string, err error) error {
	b, none := tx.FindProject(name)
	if stash.CodeOf(err) != stash.CodeUnknown || none != nil {
		return err
	}
	return stash.Refuse(stash.CodeUnknown, "compare a longer warp with another warp: `"+
		stash.Command("plan --another", b.Name)+"`", "no piece of the project %q was started", b.Name)
}

func anotherAnswer(piece stash.Piece, a making.Second, r show.Recipient) show.AnotherShape {
	s := show.AnotherShape{
		Second: a, Piece: piece.Name, Cautions: r.CautionsJSON(), Pieces: 1, First: 1,
	}
	if piece.Plan != nil {
		s.First = max(1, piece.Plan.Spec.Pieces)
	}
	if a.Verdict != chance.Unknown {
		p := math.Round(a.Probability*1e4) / 1e4
		s.Probability = &p
	}
	for _, p := range a.Frontier {
		s.Frontier = append(s.Frontier, show.PointOf(p))
	}
	if rec := a.Recommended; rec != nil {
		p := show.PointOf(rec.Point)
		sure := math.Round(rec.Chance.Probability*1e4) / 1e4
		p.Length, p.Probability, p.Binding = rec.Length, &sure, rec.Binding.String()
		s.Recommended = &p
	}
	if a.Edges != nil {
		e := show.EdgesShape(*a.Edges)
		s.Edges = &e
	}
	if a.Advice != nil {
		s.Advice = &show.AdviceShape{Measure: a.Advice.Worth.Measurement.Name, Now: a.Advice.Now,
			Low:  a.Advice.Low,
			High: a.Advice.High}
	}
	return s
}

func fillLeftovers(tx *sqlite.Tx, s making.Shelf, shape *show.AnotherShape) error {
	items, err := newShelf(tx)
	if err != nil {
		return err
	}
	open, err := tx.Pieces(true)
	if err != nil {
		return err
	}
	b := shape.Second.Project
	for _, p := range s.Named(append(append([]stash.Ref(nil), b.Warp...), b.Weft...)) {
		if p.Retired {
			continue
		}
		it := items.item(p)
		apart := stash.ApartOf(p, open)
		shape.Leftovers = append(shape.Leftovers,
			show.Leftover{ID: p.ID, Tag: it.Tag, Net: it.NetMg, Length: it.LengthMm,
				Wound: apart.Wound, Reserved: apart.Reserved})
	}
	return nil
}
