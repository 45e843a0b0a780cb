package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func giveCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "give", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage:  "Record yarn you gave away.",
		Flags:  recorded(append(handOverFlags(), noteFlag(), forceFlag())...),
		Action: takeAction(e, "given away", stash.Package.Give, giveTo),
	}
}

// giveTo asks whether the yarn may reach the person. Of one who is recorded the
// name is not kept with the movement.
func giveTo(k *call, tx *sqlite.Tx, p stash.Package, m *stash.Move) (verdict.Verdict, error) {
	v, err := k.handOver(tx, p, m)
	if m.Person == "" {
		m.Who = stash.Clean(k.String("to"))
	}
	return v, err
}
