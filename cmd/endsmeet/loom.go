package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func loomCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "loom", Category: groupMaking, ArgsUsage: "PIECE",
		Usage: "See how far the piece on the loom is, what to weave further, and what its warp can still give.",
		Description: "Give what you read while weaving and it is kept, used for this piece and learned from. On a warp of\n" +
			"several pieces of one project --woven is of all of them together; where projects share a warp (--with) it is\n" +
			"from the beginning of this one. With the tension off\n" +
			"the web tells how much this very warp stretches: read it after a hand's length or more.",
		Flags: recorded(
			&cli.StringFlag{Name: "woven",
				Usage: "`LENGTH` the tape reads so far, under tension"},
			&cli.IntFlag{Name: "of",
				Usage: "the reading is of the `N`th piece on the warp; those before it are woven as planned"},
			&cli.StringFlag{Name: "relaxed",
				Usage: "`LENGTH` of the same web with the tension off"},
			&cli.StringFlag{Name: "left",
				Usage: "`LENGTH` of warp not woven yet, front and back together, under tension"},
			&cli.StringFlag{Name: "weft-left",
				Usage: "`WEIGHT` of weft not woven yet, on shuttle, bobbins and balls together, without their empties"},
			&cli.IntFlag{Name: "picks", Usage: "how many picks you counted: `N`"},
			&cli.StringFlag{Name: "over",
				Usage: "the `LENGTH` of web, under tension, that --picks were counted over"},
			&cli.IntFlag{Name: "broken", Usage: "how many warp ends broke and were mended: `N`"},
			&cli.IntFlag{Name: "pieces",
				Usage: "weave `N` pieces on this warp as it was wound, more or fewer than planned"},
			overrideFlag(), noteFlag()),
		Action: action(e, 1, 1, loom),
	}
}

func loom(k *call) error {
	reading, err := k.loomReading()
	if err != nil {
		return err
	}
	if reading == (stash.LoomReading{}) && !k.IsSet("pieces") {
		return k.view(func(tx *sqlite.Tx) error { return k.onLoom(tx, reading) })
	}
	return k.act(func(tx *sqlite.Tx) error { return k.onLoom(tx, reading) })
}

// loomReading reads what was measured on the loom.
func (k *call) loomReading() (stash.LoomReading, error) {
	r := stash.LoomReading{Picks: k.Int("picks"), Broken: k.Int("broken"),
		Note: stash.Clean(k.String("note"))}
	for _, f := range []struct {
		name string
		into *measure.Length
	}{{"woven", &r.Tape}, {"relaxed", &r.Relaxed}, {"left", &r.Left}, {"over", &r.Over}} {
		if text := k.String(f.name); text != "" {
			l, err := typed(k, text, measure.ParseLength)
			if err != nil {
				return r, fmt.Errorf("--%s: %w", f.name, err)
			}
			*f.into = l
		}
	}
	if text := k.String("weft-left"); text != "" {
		var err error
		if r.WeftLeft, err = typed(k, text, measure.ParseMass); err != nil {
			return r, fmt.Errorf("--weft-left: %w", err)
		}
	}
	switch {
	case r.Tape == 0 && (r.Relaxed > 0 || r.Left > 0 || r.WeftLeft > 0):
		return r, stash.Refuse(stash.CodeUsage, "give --woven too",
			"what the tape reads under tension is needed too")
	case r.Relaxed > r.Tape:
		return r, stash.Refuse(stash.CodeInput,
			"--woven is under tension, --relaxed with the tension off",
			"%s with the tension off is longer than %s under tension", r.Relaxed.Cloth(k.units),
			r.Tape.Cloth(k.units))
	case (r.Picks > 0) != (r.Over > 0), r.Picks < 0, r.Broken < 0:
		return r, stash.Refuse(stash.CodeUsage, "such as --picks 60 --over 10cm",
			"--picks and --over go together, and nothing is counted below zero")
	}
	return r, nil
}

// onLoom records a reading, if there is one, and says how far the piece is.
func (k *call) onLoom(tx *sqlite.Tx, reading stash.LoomReading) error {
	piece, shelf, err := pieceAndShelf(tx, k.Args().First())
	if err != nil {
		return err
	}
	if k.IsSet("pieces") {
		was := piece
		if piece, err = k.weavePieces(tx, shelf, piece); err != nil {
			return err
		}
		shelf = shelf.Without(was).With(piece)
	}
	all, err := k.wovenInAll(piece, reading.Tape)
	if err != nil {
		return err
	}
	if reading != (stash.LoomReading{}) {
		if piece, err = k.keepReading(tx, shelf, piece, reading); err != nil {
			return err
		}
	}
	if reading.Tape == 0 && !k.IsSet("of") {
		all = piece.LastTape()
	}
	r, err := making.Remaining(shelf, piece, all)
	if err != nil {
		return err
	}
	shape := show.LoomShape{Piece: piece.Name, Rest: r, Plan: piece.Plan}
	shape.Short = math.Round(r.Short*1e4) / 1e4
	if shape.Verdicts, err = loomVerdict(tx, shelf, piece, r); err != nil {
		return err
	}
	shape.Pieces, err = oneMore(tx, shelf, piece, r.AfterSure)
	if err != nil {
		return err
	}
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return err
	}
	for _, p := range others {
		shape.OnWarp = append(shape.OnWarp, p.Name)
	}
	return k.answer(shape, func(w io.Writer) { show.PrintLoom(w, shape, k.units) })
}

// wovenBack says that the tape reads less than it did, as a sentence; empty where it does
// not. Picks may have been taken out again.
func wovenBack(p stash.Piece, tape measure.Length, units measure.System) string {
	if last := p.LastTape(); tape > 0 && tape < last {
		return fmt.Sprintf("The tape of %s read %s before, and reads %s now. Was some unwoven, or was it read from another mark?",
			stash.Clean(p.Name), last.Cloth(units), tape.Cloth(units))
	}
	return ""
}

// leftMargin is by what share of a warp what is left of it may be off before it is asked about
// (common practice, no source: a tape read askew, a knot behind the rod).
const leftMargin = 0.05

// leftOff says that what is left of the warp does not go with what was wound and woven, and the
// losses that the project states, as a sentence; empty where it does.
func leftOff(s making.Shelf, p stash.Piece, units measure.System) string {
	if off := s.LeftOff(p); off < leftMargin && off > -leftMargin {
		return ""
	}
	x := p.Readings[len(p.Readings)-1]
	return fmt.Sprintf("%s left at a tape of %s does not go with a warp of %s and the losses that the project of %s states. Was it wound otherwise, or is a reading wrong?",
		x.Left.Cloth(units), x.Tape.Cloth(units), p.Plan.Warped(stash.Measures{}).Cloth(units), stash.Clean(p.Name))
}

// unlikelyPace is how many times faster or slower than planned the weft goes before that is
// asked about (common practice, no source: weaving differs by a fifth or so).
const unlikelyPace = 2

// fastWeft says that the weft goes at another pace than weaving can explain, as a sentence;
// empty where it does not.
func fastWeft(p stash.Piece, pace float64) string {
	if p.Readings[len(p.Readings)-1].WeftLeft == 0 || pace < unlikelyPace && pace > 1/unlikelyPace {
		return ""
	}
	return fmt.Sprintf("By that weight the weft of %s goes %.1f times as fast as planned. Was all that is left weighed, on shuttle, bobbins and balls?",
		stash.Clean(p.Name), pace)
}

// keepReading records a reading of a piece on the loom that can be true of it.
func (k *call) keepReading(tx *sqlite.Tx, s making.Shelf, piece stash.Piece,
	reading stash.LoomReading) (stash.Piece, error) {
	at, err := k.when()
	if err != nil {
		return piece, err
	}
	with := piece
	with.Readings = append(slices.Clone(piece.Readings), reading)
	all, err := k.wovenInAll(piece, reading.Tape)
	if err != nil {
		return piece, err
	}
	if err := cmp.Or(s.CheckReading(with), k.asRead(wovenBack(piece, all, k.units)),
		k.asRead(leftOff(s, with, k.units))); err != nil {
		return piece, err
	}
	r, err := making.Remaining(s, with, all)
	if err == nil {
		err = k.asRead(fastWeft(with, r.WeftPace))
	}
	if err != nil {
		return piece, err
	}
	with.Readings[len(with.Readings)-1].Tape = all
	if k.IsSet("of") && reading.Relaxed > 0 { // the web that was relaxed is of one piece
		with.Readings[len(with.Readings)-1].Tape = reading.Tape
	}
	d := stash.Draft{Kind: stash.KindLoom, Of: stash.Subject(piece.ID), At: at,
		Body: with.Readings[len(with.Readings)-1]}
	_, err = tx.Record(d)
	return with, err
}

// wovenInAll is what was woven of all pieces of a warp, where the tape reads so
// much of all of them, or of the one that --of says.
func (k *call) wovenInAll(p stash.Piece, reading measure.Length) (measure.Length, error) {
	n := k.Int("of")
	if !k.IsSet("of") || p.Plan == nil {
		return reading, nil
	}
	if most := max(1, p.Plan.Spec.Pieces); n < 1 || n > most {
		return 0, stash.Refuse(stash.CodeUsage, fmt.Sprintf("from 1 to %d", most),
			"the warp of %s has no piece %d", p.Name, n)
	}
	return measure.Length(n-1)*p.Plan.Tape + reading, nil
}
