package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func lendCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "lend", Category: groupYarn, ArgsUsage: "ITEM",
		Usage: "Record yarn you lent; it stays yours and is not available.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "to", Usage: "`WHO` has it"},
			&cli.StringFlag{Name: "gross", Usage: "`WEIGHT` as it went out"},
			&cli.StringFlag{Name: "scale", Usage: "the `WEIGHT` the scale reads to, such as 1g"},
			onFlag(), noteFlag(), onceFlag(),
		},
		Action: action(e, 1, 1, func(k *call) error { return k.loan(stash.Package.Lend, "lent") }),
	}
}

// loan records the beginning or the end of a loan.
func (k *call) loan(draft drafting, word string) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	m := stash.Move{At: at, Who: k.String("to"), Note: k.String("note")}
	if text := k.String("gross"); text != "" {
		mass, err := measure.ParseMass(text)
		if err != nil {
			return fmt.Errorf("--gross: %w", err)
		}
		if m.Reading, err = k.reading(mass); err != nil {
			return err
		}
	}
	return k.act(func(tx *sqlite.Tx) error {
		if done, err := k.once(tx); done || err != nil {
			return err
		}
		p, err := tx.FindPackage(k.Args().First())
		if err != nil {
			return err
		}
		d, err := draft(p, m)
		if err != nil {
			return err
		}
		d.Once = k.String("once")
		if _, err := tx.Record(d); err != nil {
			return err
		}
		return k.answerChange(tx, p, func(w io.Writer, after item) {
			fmt.Fprintf(w, "%s; %s\n", word, after.line(k.units))
			if gone := after.pack.Given - p.Given; gone != 0 {
				fmt.Fprintf(w, "  %s was used while it was out, and counts as given away\n", gone.Format(k.units))
			}
			tellUnexplained(w, p, after.pack, k.units)
		})
	})
}
