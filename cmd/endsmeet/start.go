package main

import (
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func startCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "start", Category: groupMaking, ArgsUsage: "PROJECT",
		Usage:       "Put a piece of a project on the loom; its yarn is reserved.",
		Description: "Starts the piece that `plan --reserve` planned, or plans one now.",
		Flags: append(projectFlags(), endsFlag(),
			&cli.StringFlag{Name: "override", Usage: "do it in spite of what speaks against it; say why: `REASON`"},
			forceShortFlag(), onFlag(), onceFlag()),
		Action: action(e, 1, 1, start),
	}
}

func start(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		if done, err := k.once(tx); done || err != nil {
			return err
		}
		b, piece, err := projectToStart(tx, k.Args().First())
		if err != nil {
			return err
		}
		switch {
		case piece.ID == "":
			piece, err = k.planNow(tx, b)
		case k.changesProject():
			err = stash.Refuse(stash.CodeUsage, "start it without them, or give it up first: `endsmeet finish \""+piece.Name+"\" --abandon REASON`",
				"%s is planned already, and options of the project cannot change that", piece.Name)
		}
		if err != nil {
			return err
		}
		return k.startPiece(tx, b, piece, at)
	})
}

// planNow plans a new piece of a project, if its yarn is enough.
func (k *call) planNow(tx *sqlite.Tx, b stash.Project) (stash.Piece, error) {
	o, _, err := k.outcome(tx, b)
	if err != nil {
		return stash.Piece{}, err
	}
	if err := k.enough(o); err != nil {
		return stash.Piece{}, err
	}
	id, name, err := newPiece(tx, b)
	return stash.Piece{ID: id, Name: name, Plan: o.Record()}, err
}

// startPiece puts a planned piece on the loom, if its person's rules allow it.
func (k *call) startPiece(tx *sqlite.Tx, b stash.Project, piece stash.Piece, at time.Time) error {
	shelf, err := makingShelf(tx)
	if err != nil {
		return err
	}
	r, err := recipientOf(tx, shelf, piece.Plan.Spec)
	if err != nil {
		return err
	}
	if err := r.blocked(k.String("override")); err != nil && len(piece.Overrides) == 0 {
		return err
	}
	m := stash.Making{Project: b.ID, Name: piece.Name, Plan: piece.Plan}
	d := stash.Draft{Kind: stash.KindStart, Of: stash.Subject(piece.ID), At: at, Once: k.String("once"), Body: m}
	if err := k.recordMaking(tx, d, r); err != nil {
		return err
	}
	return k.answerStarted(tx, piece.ID, r)
}

// projectToStart finds the project named and, if one of its pieces is planned and
// waiting, that piece. The name of the planned piece itself will do.
func projectToStart(tx *sqlite.Tx, name string) (stash.Project, stash.Piece, error) {
	open, err := tx.Pieces(true)
	if err != nil {
		return stash.Project{}, stash.Piece{}, err
	}
	b, projectErr := tx.FindProject(name)
	if projectErr != nil {
		piece, err := tx.FindPiece(name)
		if err != nil {
			return b, piece, projectErr
		}
		if piece.State != stash.Planned {
			return b, piece, stash.Refuse(stash.CodeRefused, "name the project to start another", "%s is %s", piece.Name, piece.State)
		}
		b, _, err = tx.Project(piece.Project)
		return b, piece, err
	}
	for _, p := range open {
		if p.Project == b.ID && p.State == stash.Planned && p.Plan != nil {
			return b, p, nil
		}
	}
	return b, stash.Piece{}, nil
}

// started is the JSON shape of a piece put on the loom.
type started struct {
	Piece    string        `json:"piece"`
	ID       stash.PieceID `json:"id"`
	State    string        `json:"state"`
	Packages []given       `json:"packages"`
	Cautions []caution     `json:"cautions"`
}

func (k *call) answerStarted(tx *sqlite.Tx, id stash.PieceID, r recipient) error {
	p, _, err := tx.Piece(id)
	if err != nil {
		return err
	}
	shelf, err := makingShelf(tx)
	if err != nil {
		return err
	}
	shape := started{p.Name, p.ID, string(p.State), givenBy(shelf, p.Plan.Allotments), r.cautionsJSON()}
	if err := k.tellOthers(tx, p); err != nil {
		return err
	}
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s is on the loom\n", stash.Clean(p.Name))
		printPieceSize(w, p, k.units)
		fmt.Fprint(w, inOneOrTwo("  when it comes off:", fmt.Sprintf("`endsmeet finish %q --weighed PACKAGE=GROSS ...`", stash.Clean(p.Name)), columnsOf(w)))
		printCautions(w, r)
	})
}

// tellOthers notes what else of the same project is on a loom, in case the piece
// was started twice by mistake.
func (k *call) tellOthers(tx *sqlite.Tx, started stash.Piece) error {
	open, err := tx.Pieces(true)
	for _, p := range open {
		if p.ID != started.ID && p.Project == started.Project && p.State == stash.OnLoom {
			k.note("%s is on the loom too; if that is the same warp, `endsmeet undo` takes this start back", p.Name)
		}
	}
	return err
}
