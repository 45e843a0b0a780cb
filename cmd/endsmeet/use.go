package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func useCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "use", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage: "Record yarn you used: a weight, a length, or all.",
		Description: "For what is no piece here, or was not weighed when a piece came off: `endsmeet finish` records the\n" +
			"yarn of a piece. What was ruined is for `endsmeet discard`, what went to somebody for `endsmeet give`.",
		Flags: recorded(
			&cli.StringFlag{Name: "piece", Usage: "the `PIECE` it went into"},
			overrideFlag(),
			fromFlag(), noteFlag(), forceFlag()),
		Action: moveAction(e, "used", stash.Package.Use, usePiece),
	}
}

// usePiece asks whether the yarn may join the piece that it went into.
func usePiece(k *call, tx *sqlite.Tx, p stash.Package, m *stash.Move) (verdict.Verdict, error) {
	name := k.String("piece")
	if name == "" {
		if p.Quarantine != nil {
			k.note("%s is in quarantine: keep what it touches away from other yarn, or say that it is over: %s",
				p.Label(), stash.LiftQuarantine(p.Label()))
		}
		return nobody(k, tx, p, m)
	}
	piece, err := tx.FindPiece(name)
	if err != nil || piece.Plan == nil {
		return verdict.Verdict{}, err
	}
	m.Piece = piece.ID
	s, err := pieceShelf(tx, piece, p.ID)
	if err != nil {
		return verdict.Verdict{}, err
	}
	whom, err := whomOf(tx, piece)
	if err != nil {
		return verdict.Verdict{}, err
	}
	v := verdict.OfJoining(s, piece, p, whom)
	if err := k.refused(v, piece.Overrides); err != nil {
		return v, err
	}
	return v, k.recordAside(tx, piece.ID, v, whom)
}
