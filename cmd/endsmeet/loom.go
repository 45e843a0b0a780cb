package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

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
		Usage: "See how far the piece on the loom is, what to weave further, and what its warp can still give.",
		Description: "Give what you read while weaving and it is kept, used for this piece and learned from. Of a\n" +
			"piece that shares its warp give what was woven from its own beginning. With the tension off\n" +
			"the web tells how much this very warp stretches: read it after a hand's length or more.",
		Flags: recorded(
			&cli.StringFlag{Name: "woven",
				Usage: "`LENGTH` the tape reads so far under tension, all pieces of the warp together"},
			&cli.IntFlag{Name: "of",
				Usage: "the reading is of the `N`th piece on the warp; those before it are woven as planned"},
			&cli.StringFlag{Name: "relaxed",
				Usage: "`LENGTH` of the same web with the tension off"},
			&cli.StringFlag{Name: "left",
				Usage: "`LENGTH` of warp not woven yet, front and back together, under tension"},
			&cli.StringFlag{Name: "weft-left",
				Usage: "`WEIGHT` of weft not woven yet, on shuttle, bobbins and balls together, without their empties"},
			&cli.IntFlag{Name: "picks", Usage: "`N` picks counted"},
			&cli.StringFlag{Name: "over",
				Usage: "the `LENGTH` of web, under tension, that --picks were counted over"},
			&cli.IntFlag{Name: "broken", Usage: "`N` warp ends broke and were mended"},
			noteFlag()),
		Action: action(e, 1, 1, loom),
	}
}

// loomShape is the JSON shape of `loom`.
type loomShape struct {
	Piece      string          `json:"piece"`
	Woven      measure.Length  `json:"woven_mm"`
	Tape       measure.Length  `json:"tape_more_mm"`
	Finished   measure.Length  `json:"finished_more_mm"`
	Target     measure.Length  `json:"tape_target_mm"`
	TargetU    measure.Length  `json:"tape_target_u_mm"`
	Further    measure.Length  `json:"further_mm"`
	AtPlan     measure.Length  `json:"finished_at_planned_tape_mm"`
	Reach      measure.Length  `json:"tape_reach_mm"`
	Sure       measure.Length  `json:"tape_reach_95_mm"`
	Short      float64         `json:"too_short_probability"`
	Stretch    measure.Ratio   `json:"stretch_ppm"`
	Strain     measure.Ratio   `json:"strain_ppm"`
	AfterPiece measure.Length  `json:"after_planned_finished_mm"`
	Weft       *measure.Length `json:"weft_allows_finished_mm"`
	Binding    string          `json:"binding"`
	Verdicts   verdict.Verdict `json:"verdicts"`
	// OnWarp are the other pieces of its warp that are on the loom.
	OnWarp []string `json:"on_warp"`

	rest making.Rest
	plan *stash.Plan
}

func loom(k *call) error {
	reading, err := k.loomReading()
	if err != nil {
		return err
	}
	if reading == (stash.LoomReading{}) {
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
			l, err := measure.ParseLength(text)
			if err != nil {
				return r, fmt.Errorf("--%s: %w", f.name, err)
			}
			*f.into = l
		}
	}
	if text := k.String("weft-left"); text != "" {
		var err error
		if r.WeftLeft, err = measure.ParseMass(text); err != nil {
			return r, fmt.Errorf("--weft-left: %w", err)
		}
	}
	switch {
	case r.Tape == 0 && (r.Relaxed > 0 || r.Left > 0 || r.WeftLeft > 0):
		return r, stash.Refuse(stash.CodeUsage, "give --woven too",
			"what the tape reads under tension is wanted beside it")
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
		all = lastWoven(piece)
	}
	r, err := making.Remaining(shelf, piece, all)
	if err != nil {
		return err
	}
	shape := loomShape{
		Piece: piece.Name, Woven: r.Woven, Tape: r.Tape, Finished: r.Finished, Target: r.Target,
		TargetU: r.TargetU, Further: r.Further,
		AtPlan: r.AtPlan, Reach: r.Reach, Sure: r.Sure, Short: math.Round(r.Short*1e4) / 1e4,
		Stretch: r.Stretch, Strain: r.Strain,
		AfterPiece: r.AfterPiece, Binding: r.Binding, rest: r, plan: piece.Plan,
	}
	if shape.Verdicts, err = loomVerdict(tx, shelf, piece, r); err != nil {
		return err
	}
	if r.WeftKnown {
		shape.Weft = &r.Weft
	}
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return err
	}
	shape.OnWarp = []string{}
	for _, p := range others {
		shape.OnWarp = append(shape.OnWarp, p.Name)
	}
	return k.answer(shape, func(w io.Writer) { printLoom(w, shape, k.units) })
}

// lastWoven is what the tape read last.
func lastWoven(p stash.Piece) measure.Length {
	for _, x := range slices.Backward(p.Readings) {
		if x.Tape > 0 {
			return x.Tape
		}
	}
	return 0
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
	if err := s.CheckReading(with); err != nil {
		return piece, err
	}
	if _, err := making.Remaining(s, with, all); err != nil {
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

func printLoom(w io.Writer, r loomShape, units measure.System) {
	fmt.Fprintf(w, "%s is on the loom.\n", stash.Clean(r.Piece))
	printWorse(w, r.Verdicts)
	further := clothText(r.Further, units) + " further"
	if r.Further <= 0 {
		further = "which is reached"
	}
	fact(w, "Weave", fmt.Sprintf("until the tape reads %s ± %s%s: %s",
		clothText(r.Target, units), clothText(r.TargetU, units),
		eachOf(r.plan.Spec.Pieces, r.Target, units), further))
	if off := r.Target - r.plan.Tape; max(off, -off) > 5*measure.Millimetre {
		fact(w, "Planned", fmt.Sprintf("%s: this web stretches %s (its yarn %s), %s was reckoned with; at the planned tape it would finish %s long, not %s",
			clothText(r.plan.Tape, units), tenths(r.Stretch), tenths(r.Strain),
			tenths(r.rest.Planned), clothText(r.AtPlan, units), clothText(r.plan.Length, units)))
	}
	fact(w, "Warp", fmt.Sprintf("lets the tape come %s further, which finishes as %s",
		clothText(r.Tape, units), clothText(r.Finished, units)))
	printShortWarp(w, r, units)
	fact(w, "After", afterWords(r, units))
	if r.Weft == nil {
		fact(w, "Weft", "how much is left is not known")
	} else {
		fact(w, "Weft", fmt.Sprintf("is enough for %s from here%s; the %s runs out first",
			clothText(*r.Weft, units), paceWords(r.rest.WeftPace), r.Binding))
	}
	if r.rest.Worth != "" {
		fact(w, "Surer", r.rest.Worth)
	}
}

// afterWords says what the warp still holds beyond a piece.
func afterWords(r loomShape, units measure.System) string {
	switch {
	case r.plan.Shared != nil && len(r.OnWarp) == 0:
		return "nothing: it is the last piece on its warp"
	case r.plan.Shared != nil:
		return "the rest of the warp is kept for " + stash.Clean(strings.Join(r.OnWarp, ", "))
	case r.AfterPiece > 0:
		return clothText(r.AfterPiece, units) +
			" more could be finished on this warp, fringes between"
	}
	return "nothing beyond what was planned is left on this warp"
}

// printShortWarp says what can be done where the warp may be too short.
func printShortWarp(w io.Writer, r loomShape, units measure.System) {
	if r.Short < 0.2 || r.Further <= 0 {
		return
	}
	fact(w, "Short", fmt.Sprintf("the warp may be too short for that: %.0f chances in 100. Then",
		100*r.Short))
	if r.rest.FinishedSure > 0 {
		fact(w, "", fmt.Sprintf("finish shorter: %s is reached on 19 of 20 such warps, at a tape of %s,", clothText(r.rest.FinishedSure, units), clothText(r.Sure, units)))
	}
	if r.rest.TieOn > 0 {
		fact(w, "", fmt.Sprintf("or tie on: %s to each of the %d ends, and the knots,",
			clothText(r.rest.TieOn, units), r.plan.Ends))
	}
	fact(w, "", fmt.Sprintf("or weave a tenth fewer picks from here: the warp bends less, which gives about %s, and %s of weft are saved (take-up goes with the picks: Taylor, Cotton Weaving and Designing, 1909)",
		clothText(r.rest.FewerGain, units), yarnText(r.rest.FewerSaved, units)))
}

// paceWords say where the weft goes otherwise than planned, by what was left when
// it was weighed.
func paceWords(pace float64) string {
	switch {
	case pace == 0:
		return ""
	case pace > 1.02:
		return fmt.Sprintf(", going %.0f %% faster than planned by what was weighed", 100*(pace-1))
	case pace < 0.98:
		return fmt.Sprintf(", going %.0f %% slower than planned by what was weighed", 100*(1-pace))
	}
	return ", going as planned by what was weighed"
}

func tenths(r measure.Ratio) string { return fmt.Sprintf("%.1f %%", 100*r.Float()) }
