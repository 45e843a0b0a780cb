package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func useCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "use", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage: "Record yarn you used: a weight, a length, or all.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "piece", Usage: "the `PIECE` it went into"},
			onFlag(), noteFlag(), forceFlag(), onceFlag(),
		},
		Action: takeAction(e, "used", stash.Package.Use, usePiece),
	}
}

func usePiece(k *call, tx *sqlite.Tx, _ stash.Package, m *stash.Move) error {
	if name := k.String("piece"); name != "" {
		piece, err := tx.FindPiece(name)
		if err != nil {
			return err
		}
		m.Piece = piece.ID
	}
	return nil
}
