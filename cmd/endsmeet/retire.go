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
		Usage:       "Take an item out of the stash: used up, gone or lost.",
		Description: "It keeps its history, and `endsmeet list --retired` shows it. `endsmeet undo ID` takes it back.",
		Flags: recorded(
			&cli.StringFlag{Name: "leftover",
				Usage: "what became of the leftover: `discarded, given or lost`"},
			fromFlag(), noteFlag()),
		Action: action(e, 0, 1, retire),
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
	one, err := k.itemIn(1)
	if err != nil {
		return err
	}
	return inLines(k, one, func(tx *sqlite.Tx, l line) (out told[show.Item], err error) {
		p, err := tx.FindPackage(l.whole())
		if err != nil {
			return out, err
		}
		if err := tx.Unpromised(p); err != nil {
			return out, err
		}
		d, err := p.Retire(stash.Move{At: k.afterKnown(tx, at, time.Time{}, p), Leftover: rest,
			Note: k.String("note")})
		if err != nil {
			return out, err
		}
		if _, err := tx.Record(d); err != nil {
			return out, err
		}
		after, err := k.afterChange(tx, p)
		return told[show.Item]{after, func(w io.Writer) {
			fmt.Fprintf(w, "retired %s %s\n", after.Tag, after.Yarn)
		}}, err
	})
}
