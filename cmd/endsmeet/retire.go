package main

import (
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func retireCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "retire", Category: groupYarn, ArgsUsage: "ITEM",
		Usage: "Take an item out of the stash: used up, gone or lost.",
		Flags: recorded(
			&cli.StringFlag{Name: "leftover",
				Usage: "what became of the leftover: `discarded, given or lost`"},
			noteFlag()),
		Action: action(e, 1, 1, retire),
	}
}

func retire(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	rest := stash.Leftover(k.String("leftover"))
	switch rest {
	case "", stash.LeftoverDiscarded, stash.LeftoverGiven, stash.LeftoverLost:
	default:
		return stash.Refuse(stash.CodeUsage, "one of: discarded, given, lost",
			"--leftover %q is no fate", stash.Clean(string(rest)))
	}
	return k.act(func(tx *sqlite.Tx) error {
		p, err := tx.FindPackage(k.Args().First())
		if err != nil {
			return err
		}
		if err := tx.Unpromised(p); err != nil {
			return err
		}
		d, err := p.Retire(stash.Move{At: k.afterKnown(tx, at, time.Time{}, p), Leftover: rest,
			Note: k.String("note")})
		if err != nil {
			return err
		}
		if _, err := tx.Record(d); err != nil {
			return err
		}
		return k.answerChange(tx, p,
			func(w io.Writer, after show.Item) {
				fmt.Fprintf(w, "retired %s %s\n", after.Tag,
					after.Yarn)
			})
	})
}
