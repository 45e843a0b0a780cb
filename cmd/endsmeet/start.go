package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func startCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "start", Category: groupMaking, ArgsUsage: "BRIEF",
		Usage:       "put a piece of a brief on the loom; its yarn is spoken for",
		Description: "Takes up the piece that `plan --reserve` planned, or plans one now.",
		Flags: append(briefFlags(),
			&cli.StringFlag{Name: "override", Usage: "set the person's rules aside, for this `REASON`"},
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
		b, piece, err := briefToStart(tx, k.Args().First())
		if err != nil {
			return err
		}
		m := stash.Making{Brief: b.ID, Name: piece.Name, Plan: piece.Plan}
		facts := b.BriefFacts
		if piece.ID == "" {
			o, shelf, err := k.outcome(tx, b)
			if err != nil {
				return err
			}
			r, err := recipientOf(tx, shelf, o.Brief)
			if err != nil {
				return err
			}
			if err := k.mayGoOn(o, r); err != nil {
				return err
			}
			if piece.ID, m.Name, err = newPiece(tx, b); err != nil {
				return err
			}
			m.Plan = o.Record()
		} else {
			facts = piece.Plan.Spec
		}
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		r, err := recipientOf(tx, shelf, facts)
		if err != nil {
			return err
		}
		if err := r.blocked(k.String("override")); err != nil && len(piece.Overrides) == 0 {
			return err
		}
		if _, err := tx.Record(stash.Draft{Kind: stash.KindStart, Of: stash.Subject(piece.ID), At: at, Once: k.String("once"), Body: m}); err != nil {
			return err
		}
		if d, ok := r.override(piece.ID, k.String("override")); ok {
			if _, err := tx.Record(d); err != nil {
				return err
			}
		}
		return k.answerStarted(tx, piece.ID, r)
	})
}

// briefToStart finds the brief named and, if one of its pieces is planned and
// waiting, that piece. The name of the planned piece itself will do.
func briefToStart(tx *sqlite.Tx, name string) (stash.Brief, stash.Piece, error) {
	open, err := tx.Pieces(true)
	if err != nil {
		return stash.Brief{}, stash.Piece{}, err
	}
	b, briefErr := tx.FindBrief(name)
	if briefErr != nil {
		piece, err := tx.FindPiece(name)
		if err != nil {
			return b, piece, briefErr
		}
		if piece.State != stash.Planned {
			return b, piece, stash.Refuse(stash.CodeRefused, "name the brief to start another", "%s is %s", piece.Name, piece.State)
		}
		b, _, err = tx.Brief(piece.Brief)
		return b, piece, err
	}
	for _, p := range open {
		if p.Brief == b.ID && p.State == stash.Planned && p.Plan != nil {
			return b, p, nil
		}
	}
	return b, stash.Piece{}, nil
}

// started is the JSON shape of a piece put on the loom.
type started struct {
	Piece    string            `json:"piece"`
	ID       stash.PieceID     `json:"id"`
	State    string            `json:"state"`
	Packages []stash.Allotment `json:"packages"`
	Cautions []caution         `json:"cautions"`
}

func (k *call) answerStarted(tx *sqlite.Tx, id stash.PieceID, r recipient) error {
	p, _, err := tx.Piece(id)
	if err != nil {
		return err
	}
	shape := started{p.Name, p.ID, string(p.State), p.Plan.Allotments, r.cautionsJSON()}
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s is on the loom\n", stash.Clean(p.Name))
		printPieceSize(w, p, k.units)
		fmt.Fprintf(w, "  when it comes off: `endsmeet finish %q --weighed PACKAGE=GROSS ...`\n", stash.Clean(p.Name))
		printCautions(w, r)
	})
}
