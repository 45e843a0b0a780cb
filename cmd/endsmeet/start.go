package main

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func startCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "start", Category: groupMaking, ArgsUsage: "PROJECT",
		Usage: "Put a piece of a project on the loom; its yarn is reserved.",
		Description: "Starts the piece that `plan --reserve` planned, or plans one now. With --with a piece of\n" +
			"each project is started on one warp; each is finished by itself.",
		Flags: recorded(append(append(projectFlags(), withFlags()...), largestFlag(),
			overrideFlag(),
			&cli.StringFlag{Name: "wound",
				Usage: "`LENGTH` the warp was really wound, from end to end"})...),
		Action: action(e, 1, 1, start),
	}
}

func start(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		b, piece, err := projectToStart(tx, k.Args().First())
		if err != nil {
			return err
		}
		if piece.ID != "" && k.changesProject() {
			return stash.Refuse(stash.CodeUsage,
				"start it without them, or give it up first: `"+stash.Command("finish --abandon REASON", piece.Name)+"`",
				"%s is planned already, and options of the project cannot change that", piece.Name)
		}
		switch {
		case piece.ID != "" && piece.Plan.Shared != nil:
			return k.startPlanned(tx, piece, at)
		case k.IsSet("with"):
			return k.startWarp(tx, b, at)
		}
		shelf, v, err := k.toStart(tx, b, &piece)
		if err != nil {
			return err
		}
		return k.startPiece(tx, shelf, b, piece, v, at)
	})
}

// toStart judges a piece that is to go on the loom, and gives the shelf that it is of; one
// that was not planned is planned now.
func (k *call) toStart(tx *sqlite.Tx, b stash.Project, piece *stash.Piece) (making.Shelf,
	verdict.Verdict, error) {
	if piece.ID != "" {
		return plannedToStart(tx, piece)
	}
	o, s, _, err := k.outcome(tx, b)
	if err != nil {
		return s, verdict.Verdict{}, err
	}
	whom, err := whomFor(tx, o.Project.For)
	if err != nil {
		return s, verdict.Verdict{}, err
	}
	id, name, err := newPiece(tx, b)
	*piece = stash.Piece{ID: id, Name: name, Plan: o.Record()}
	return s, verdict.OfPlan(s, o, whom), err
}

// plannedToStart is toStart for a piece that was planned.
func plannedToStart(tx *sqlite.Tx, piece *stash.Piece) (making.Shelf, verdict.Verdict, error) {
	s, err := pieceShelf(tx, *piece)
	if err != nil {
		return s, verdict.Verdict{}, err
	}
	if piece.Plan.Short { // there may be more by now
		o, err := making.PlanAgain(s, *piece)
		if err != nil {
			return s, verdict.Verdict{}, projectProblem(err)
		}
		piece.Plan = o.Record()
	}
	whom, err := whomOf(tx, *piece)
	if err != nil {
		return s, verdict.Verdict{}, err
	}
	v, err := verdict.OfPlanned(s, *piece, whom)
	return s, v, projectProblem(err)
}

// startPiece puts a planned piece on the loom and says so.
func (k *call) startPiece(tx *sqlite.Tx, s making.Shelf, b stash.Project, piece stash.Piece,
	v verdict.Verdict, at time.Time) error {
	piece.Project = b.ID
	r, err := k.putOnLoom(tx, s, piece, v, at)
	if err != nil {
		return err
	}
	return k.answerStarted(tx, piece.ID, r, v)
}

// putOnLoom records that a planned piece goes on the loom, if its verdict allows it or
// was set aside.
func (k *call) putOnLoom(tx *sqlite.Tx, s making.Shelf, piece stash.Piece, v verdict.Verdict,
	at time.Time) (show.Recipient, error) {
	if err := k.refused(v, piece.Overrides); err != nil {
		return show.Recipient{}, err
	}
	r, err := recipientOfPiece(tx, s, piece)
	if err != nil {
		return r, err
	}
	yarn := packagesOf(s, piece.Plan.Packages())
	at = k.afterKnown(tx, at, time.Time{}, yarn...)
	if err := cmp.Or(thereBy(at, yarn), k.settled(at, yarn...)); err != nil {
		return r, err
	}
	m := stash.Making{Project: piece.Project, Name: piece.Name, Plan: piece.Plan}
	if m.Plan, err = k.asWound(s, *piece.Plan); err != nil {
		return r, err
	}
	d := stash.Draft{Kind: stash.KindStart, Of: stash.Subject(piece.ID), At: at,
		Replaces: headsOf(s, piece.Plan.Packages()), Body: m}
	return r, k.recordMaking(tx, d, v, r.Whom)
}

// asWound is a plan with the length that was really wound, if that is told.
func (k *call) asWound(s making.Shelf, p stash.Plan) (*stash.Plan, error) {
	text := k.String("wound")
	if text == "" {
		return &p, nil
	}
	wound, err := typed(k, text, measure.ParseLength)
	if err != nil {
		return nil, fmt.Errorf("--wound: %w", err)
	}
	wound = p.OfPart(wound)
	if err := s.CheckWound(p, wound); err != nil {
		return nil, err
	}
	p.Wound = wound
	if short := p.WarpEnd - p.Margin - wound; short > 0 {
		k.note("%s wound is %s less than the middle of what such a piece needs: it may come out shorter", wound.Cloth(k.units), short.Cloth(k.units))
	}
	return &p, nil
}

// projectToStart finds the project named and, if one of its pieces is planned and
// waiting, that piece. The name of the planned piece itself will do.
func projectToStart(tx *sqlite.Tx, name string) (stash.Project, stash.Piece, error) {
	b, projectErr := tx.FindProject(name)
	if projectErr != nil {
		piece, err := tx.FindPiece(name)
		if err != nil {
			return b, piece, projectErr
		}
		if piece.State != stash.Planned {
			return b, piece, stash.Refuse(stash.CodeRefused, "name the project to start another",
				"%s is %s", piece.Name, piece.State)
		}
		b, _, err = tx.Project(piece.Project)
		return b, piece, err
	}
	piece, err := waitingOf(tx, b)
	return b, piece, err
}

// waitingOf is the piece of a project that is planned and waits for the loom, one without
// an id where there is none.
func waitingOf(tx *sqlite.Tx, b stash.Project) (stash.Piece, error) {
	planned, err := piecesOf(tx, b.ID, stash.Planned)
	for _, p := range planned {
		if p.Plan != nil {
			return p, err
		}
	}
	return stash.Piece{}, err
}

// ownShelf is the shelf as a project has it: what is reserved for the piece of it that
// waits for the loom is its own, unless another piece is to be reserved now.
func (k *call) ownShelf(tx *sqlite.Tx, s making.Shelf, b stash.Project) (making.Shelf, error) {
	piece, err := waitingOf(tx, b)
	if err != nil || piece.ID == "" || piece.Plan.Shared != nil || k.Bool("reserve") {
		return s, err
	}
	k.note("%s is planned already: the yarn reserved for it is counted as available here",
		piece.Name)
	return s.Without(piece), nil
}

// startedShape reads a piece that was put on the loom.
func (k *call) startedShape(tx *sqlite.Tx, id stash.PieceID, r show.Recipient,
	v verdict.Verdict) (show.Started, error) {
	p, _, err := tx.Piece(id)
	if err != nil {
		return show.Started{}, err
	}
	shelf, err := pieceShelf(tx, p)
	if err != nil {
		return show.Started{}, err
	}
	return show.Started{Piece: p.Name, ID: p.ID, State: string(p.State),
		Packages: givenBy(shelf.Without(p), p.Plan.Promised()),
		Notes:    shelf.LotNotes(*p.Plan),
		Cautions: r.CautionsJSON(), Verdicts: v, Plan: p.Plan}, k.tellOthers(tx, p)
}

func (k *call) answerStarted(tx *sqlite.Tx, id stash.PieceID, r show.Recipient,
	v verdict.Verdict) error {
	shape, err := k.startedShape(tx, id, r, v)
	if err != nil {
		return err
	}
	p := stash.Piece{Name: shape.Piece, Plan: shape.Plan}
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s is on the loom.\n", stash.Clean(p.Name))
		show.PrintWholeVerdict(w, v)
		fmt.Fprintln(w)
		wound := "Wind"
		if p.Plan.Wound > 0 {
			wound = "Wound"
		}
		show.Fact(w, wound, fmt.Sprintf("%d ends of %s%s", p.Plan.Ends,
			p.Plan.Warped(stash.Measures{}).Planned(k.units), shape.Warp(k.units)))
		show.Fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s%s",
			p.Plan.Tape.Planned(k.units), show.EachOf(p.Plan.Spec.Pieces, p.Plan.Tape,
				k.units)))
		shape.PrintTaken(w, k.units)
		show.Fact(w, "Gives", show.ClothSize(p.Plan.Width, p.Plan.Length, k.units)+" finished")
		show.PrintCautions(w, r, v)
		fmt.Fprintln(w, "\nWhen it comes off: "+stash.Command("finish --weighed ITEM=WEIGHT",
			stash.Clean(p.Name)))
	})
}

// tellOthers notes what else of the same project is on a loom, in case the piece
// was started twice by mistake.
func (k *call) tellOthers(tx *sqlite.Tx, started stash.Piece) error {
	open, err := piecesOf(tx, started.Project, stash.OnLoom)
	for _, p := range open {
		if p.ID != started.ID && !p.SharesWarp(started) {
			k.note("%s is on the loom too; if that is the same warp, `endsmeet undo` takes this start back", p.Name)
		}
	}
	return err
}
