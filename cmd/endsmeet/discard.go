package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

func discardCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "discard", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage: "Record yarn that was ruined or thrown away.",
		Description: "The item stays, with what is left of it. `endsmeet retire` takes an item out of the stash; for insects or\n" +
			"damp keep it apart instead: endsmeet set ITEM quarantine=DATE.",
		Flags:  recorded(fromFlag(), noteFlag(), forceFlag()),
		Action: moveAction(e, "discarded", stash.Package.Discard, nobody),
	}
}
