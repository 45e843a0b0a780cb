package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/picture"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func planCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "plan", Category: groupMaking, ArgsUsage: "PROJECT",
		Usage: "Work out what a project needs, and whether you have enough yarn.",
		Description: "Options of a project hold for this plan only. --reserve keeps the yarn for it.\n" +
			"A project without a width or a length is planned at the greatest that you can rely on. With --with\n" +
			"several projects share a warp, each with its own weft, its own person and its part of the waste.\n" +
			"`endsmeet help losses` and `endsmeet help chance` tell how it is reckoned; `endsmeet start` puts the piece on the loom.",
		Flags: recorded(append(append(projectFlags(), withFlags()...),
			largestFlag(), drawingFlags()[0], sumsFlag(),
			&cli.BoolFlag{Name: "reserve", Usage: "plan a piece and keep its yarn for it"},
			&cli.BoolFlag{Name: "another",
				Usage: "compare one more piece on a longer warp now with a new warp later"},
			overrideFlag(), exitFlag(exitsShort))...),
		Action: action(e, 1, 1, plan),
	}
}

func plan(k *call) error {
	do := k.view
	if k.Bool("reserve") {
		do = k.act
	} else if k.IsSet("note") || k.IsSet("due") {
		return stash.Refuse(stash.CodeUsage,
			"keep it with `"+stash.Command("project set", k.Args().First(), "note=...")+"`, or plan a piece with --reserve",
			"a note or a day is kept only with --reserve: this plan records nothing")
	}
	return do(func(tx *sqlite.Tx) error {
		b, err := tx.FindProject(k.Args().First())
		if err != nil {
			return err
		}
		if err := k.noteQuestions(tx); err != nil {
			return err
		}
		if k.IsSet("with") {
			return k.planWarp(tx, b)
		}
		return k.planProject(tx, b)
	})
}

// planProject answers with the plan of a project on a warp of its own, and with --reserve keeps it.
func (k *call) planProject(tx *sqlite.Tx, b stash.Project) error {
	o, shelf, largest, err := k.outcome(tx, b)
	if err != nil {
		return err
	}
	r, err := recipientOf(tx, shelf, o.Project)
	if err != nil {
		return err
	}
	shape := k.plannedShape(shelf, o, r)
	shape.Largest = largest
	shape.Verdicts = verdict.OfPlan(shelf, o, r.Whom)
	k.answerStatus(shape.Verdicts)
	if err := k.tellWoven(tx, b, o); err != nil {
		return err
	}
	if k.Bool("another") {
		if shape.Another, err = longerWarpOf(shelf, b, k, tx); err != nil {
			return err
		}
	}
	if k.Bool("reserve") {
		if shape.Piece, err = k.reserve(tx, b, o, shape.Verdicts, r.Whom); err != nil {
			return err
		}
	}
	sums := k.Bool("sums")
	if err := k.answer(shape,
		func(w io.Writer) { printPlan(w, b.Name, shape, r, k.units, sums) }); err != nil {
		return err
	}
	return k.saveDrawing(plannedCloth(b.Name, o, k.units), picture.Frontier{})
}

// tellWoven notes which pieces of a project are on the loom, where what they leave of its
// yarn is not surely enough: the plan is for one more.
func (k *call) tellWoven(tx *sqlite.Tx, b stash.Project, o making.Outcome) error {
	if o.Verdict == chance.Sure {
		return nil
	}
	woven, err := piecesOf(tx, b.ID, stash.OnLoom)
	for _, p := range woven {
		k.note("%s is on the loom with its yarn; this plan is for one more", p.Name)
	}
	return err
}

// largestFlag asks for the greatest size in place of the one wanted.
func largestFlag() cli.Flag {
	return &cli.BoolFlag{Name: "largest",
		Usage: "the greatest size of this shape that you can rely on, whatever size the project has"}
}

// outcome plans a project with what the options say over it; where its size is open, or
// the largest is asked for, at the greatest that can be relied on, which is told.
func (k *call) outcome(tx *sqlite.Tx, b stash.Project) (making.Outcome, making.Shelf,
	*show.LargestShape,
	error) {
	over, err := k.projectFields(tx)
	if err != nil {
		return making.Outcome{}, making.Shelf{}, nil, err
	}
	facts, err := b.With(over)
	if err != nil {
		return making.Outcome{}, making.Shelf{}, nil, err
	}
	shelf, err := plannedShelf(tx, facts)
	if err == nil {
		shelf, err = k.ownShelf(tx, shelf, b)
	}
	if err != nil {
		return making.Outcome{}, shelf, nil, err
	}
	o, l, err := making.PlanOpen(shelf, facts, k.Bool("largest"))
	if l == nil {
		return o, shelf, nil, projectProblem(err)
	}
	return o, shelf, show.LargestOf(*l), projectProblem(err)
}

// reserve plans a piece and claims its yarn.
func (k *call) reserve(tx *sqlite.Tx, b stash.Project, o making.Outcome, v verdict.Verdict,
	whom verdict.Whom) (*string, error) {
	if err := k.refused(v, nil); err != nil {
		return nil, err
	}
	if err := k.plannedAlready(tx, b); err != nil {
		return nil, err
	}
	id, name, err := newPiece(tx, b)
	if err != nil {
		return nil, err
	}
	m := stash.Making{Project: b.ID, Name: name, Plan: o.Record()}
	return &name, k.recordMaking(tx, stash.Draft{Kind: stash.KindPlan, Of: stash.Subject(id),
		Body: m}, v, whom)
}

// plannedAlready asks about a second piece of a project of which one is planned and
// has its yarn.
func (k *call) plannedAlready(tx *sqlite.Tx, b stash.Project) error {
	planned, err := piecesOf(tx, b.ID, stash.Planned)
	slip := ""
	if len(planned) > 0 {
		slip = fmt.Sprintf("%s is planned already and keeps its yarn: this would be another piece, with yarn of its own",
			stash.Clean(planned[0].Name))
	}
	return cmp.Or(err, k.asRead(slip))
}

// piecesOf are the pieces of a project in one state.
func piecesOf(tx *sqlite.Tx, id stash.ProjectID, in stash.PieceState) ([]stash.Piece, error) {
	all, err := tx.Pieces(true)
	return slices.DeleteFunc(all, func(p stash.Piece) bool {
		return p.Project != id || p.State != in
	}), err
}

// newPiece draws an id and a name for the next piece of a project.
func newPiece(tx *sqlite.Tx, b stash.Project) (stash.PieceID, string, error) {
	pieces, err := tx.Pieces(false)
	n := 1
	for _, p := range pieces {
		if p.Project == b.ID {
			n++
		}
	}
	return stash.PieceID(tx.NewID()), fmt.Sprintf("%s %d", b.Name, n), err
}

// recordMaking records a step in a piece's life, and with it the reason for
// going on in spite of its verdict.
func (k *call) recordMaking(tx *sqlite.Tx, d stash.Draft, v verdict.Verdict,
	whom verdict.Whom) error {
	if _, err := tx.Record(d); err != nil {
		return err
	}
	return k.recordAside(tx, stash.PieceID(d.Of), v, whom)
}

func (k *call) plannedShape(s making.Shelf, o making.Outcome, r show.Recipient) show.Planned {
	n := o.Needs
	shape := show.Planned{
		Ends: n.Ends, EndsBelow: n.ThreadedBelow, ReedWidth: n.ReedWidth, WarpEnd: n.WarpEnd,
		WarpMiddle: o.Wind.Middle, WarpLong: o.Wind.Long, WarpTotal: n.WarpTotal,
		Tape:  n.TapeLength,
		Picks: n.Picks, WeftTotal: n.WeftTotal, Hemstitch: n.HemstitchTotal,
		Finished:   show.Size{Width: n.FinishedWidth, Length: n.FinishedLength},
		FinishedU:  show.Size{Width: o.Spread.Width, Length: o.Spread.Length},
		Allowances: k.typed(allowances(n.Warp), n.Spec), Weft: allowances(n.Weft), Losses: o.Losses,
		EndsOf: o.EndsOf, Packages: givenBy(s, o.Allotments), LeftOut: o.LeftOut,
		Further: o.Further,
		Verdict: o.Verdict, Binding: o.Binding, Edges: show.EdgesShape(o.Edges),
		OtherEdges: show.EdgesShape(o.OtherEdges), Measure: o.UnknownLengths,
		Notes:    o.Notes,
		Cautions: r.CautionsJSON(), Outcome: o,
	}
	if o.LeftOut == nil {
		shape.LeftOut = []making.LeftOut{}
	}
	if o.Verdict != chance.Unknown {
		p := math.Round(o.Probability*1e4) / 1e4
		shape.Probability = &p
	}
	if n.RagMass > 0 {
		shape.RagMg = &n.RagMass
	}
	shape.Stripes, shape.Sley = append([]fit.Band{}, o.Bands...), show.SleyOf(o)
	if o.Greatest != nil {
		shape.Greatest = &show.Size{Width: o.Greatest.Width, Length: o.Greatest.Length}
	}
	return shape
}

// givenBy is the JSON shape of allotments, never null.
func givenBy(s making.Shelf, allotments []stash.Allotment) []show.Given {
	var out []show.Given
	for _, a := range allotments {
		weft := &a.Weft
		if !s.HasCount(a.Package) {
			weft = nil
		}
		one := show.Given{ID: a.Package, Tag: s.Label(a.Package), Ends: a.Ends, Warp: a.Warp,
			Weft: weft, Hemstitch: a.Hemstitch, Mass: a.Mass, Left: nil}
		if p, found := s.Find(a.Package); found && p.Known {
			left := max(0, s.Available(p)-a.Mass)
			one.Left = &left
		}
		out = append(out, one)
	}
	return out
}

// typed says of the waste how long it is under tension, as it is typed; the end is as wound.
func (k *call) typed(lines []show.Allowance, spec planner.Spec) []show.Allowance {
	for i := range lines {
		l := &lines[i]
		taut := map[string]measure.Length{"front waste": spec.Loom.Front,
			"back waste": spec.Loom.Back}[l.Name]
		if taut > l.Mm {
			l.Why = taut.Planned(k.units) + " under tension, " + l.Why
		}
	}
	return lines
}

func allowances(lines []planner.Allowance) []show.Allowance {
	var out []show.Allowance
	for _, l := range lines {
		out = append(out, show.Allowance{Name: l.Name, Mm: l.Length, Why: l.Why})
	}
	return out
}
