package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// overrideFlag is the one way past the gate, alike in every command.
func overrideFlag() cli.Flag {
	return &cli.StringFlag{Name: "override",
		Usage: "do it in spite of what speaks against it; say why: `REASON`"}
}

// whomFor finds for whom a project or piece is.
func whomFor(tx *sqlite.Tx, id stash.PersonID) (verdict.Whom, error) {
	if id == "" {
		return verdict.Whom{}, nil
	}
	person, found, err := tx.Person(id)
	if err != nil || !found {
		return verdict.Whom{Elsewhere: true}, err
	}
	return verdict.Whom{Person: &person}, nil
}

// whomOf finds for whom a piece is: whom its plan names, and where its project was
// given to somebody else since, both, by the rules of both.
func whomOf(tx *sqlite.Tx, p stash.Piece) (verdict.Whom, error) {
	b, _, err := tx.Project(p.Project)
	if err != nil || p.Plan == nil {
		return verdict.Whom{}, err
	}
	planned, err := whomFor(tx, p.Plan.Spec.For)
	if err != nil || b.For == "" || b.For == p.Plan.Spec.For {
		return planned, err
	}
	now, err := whomFor(tx, b.For)
	return planned.And(now), err
}

// wovenVerdict judges a piece that is on the loom or in the cloth, as it now is.
func wovenVerdict(tx *sqlite.Tx, id stash.PieceID) (verdict.Verdict, error) {
	piece, _, err := tx.Piece(id)
	if err != nil || piece.Plan == nil {
		return verdict.Verdict{}, err
	}
	s, err := pieceShelf(tx, piece)
	if err != nil {
		return verdict.Verdict{}, err
	}
	whom, err := whomOf(tx, piece)
	return verdict.OfWoven(s, piece, whom), err
}

// loomVerdict judges a piece on the loom, of which so much is left to weave.
func loomVerdict(tx *sqlite.Tx, s making.Shelf, piece stash.Piece, r making.Rest) (verdict.Verdict,
	error) {
	whom, err := whomOf(tx, piece)
	return verdict.OfLoom(s, piece, r, whom), err
}

// refused says why a verdict keeps yarn back, unless the weaver said why not to, and
// notes what the rules of a recipient say.
func (k *call) refused(v verdict.Verdict, aside []stash.Override) error {
	err := v.Refused(stash.Clean(k.String("override")), aside)
	if err != nil {
		k.tellBlocking(v)
	}
	return err
}

// tellBlocking notes what stands in the way, beside an error that keeps it back.
func (k *call) tellBlocking(v verdict.Verdict) {
	for _, a := range v.Answers {
		for _, r := range a.Reasons {
			if a.Question == verdict.Recipient && r.Grade.Blocks() {
				k.note("%s: %s", r.Grade, r.Why)
			}
		}
	}
}

// recordAside records the reason for which a verdict was set aside for a piece.
func (k *call) recordAside(tx *sqlite.Tx, piece stash.PieceID, v verdict.Verdict,
	whom verdict.Whom) error {
	o, private, any := v.Aside(k.String("override"), whom.ID())
	if !any {
		return nil
	}
	_, err := tx.Record(stash.Draft{Kind: stash.KindOverride, Of: stash.Subject(piece),
		Private: private, Body: o})
	return err
}
