package main

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func windCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "wind", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage: "Wind or split off part of a ball or cone.",
		Description: "The part is an item of its own, of the same yarn and dye lot, or with --into joins one.\n" +
			"AMOUNT is a weight or a length.",
		Flags: recorded(append(factFlags(stash.WhatPackage, "tag", "form", "bin", "note"),
			&cli.StringFlag{Name: "into",
				Usage: "the `ITEM` it is wound onto, of the same yarn and dye lot"},
			forceFlag())...),
		Action: action(e, 2, 2, wind),
	}
}

func wind(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		p, err := tx.FindPackage(k.Args().First())
		if err != nil {
			return err
		}
		m := stash.Move{Force: k.Bool("force")}
		if m.Mass, err = k.amountOf(tx, p, k.Args().Get(1)); err != nil {
			return err
		}
		into, fields, err := k.windTarget(tx, p)
		if err != nil {
			return err
		}
		onto, _, err := tx.Package(into)
		if err != nil {
			return err
		}
		m.At = k.afterKnown(tx, at, time.Time{}, p, onto)
		d, err := p.Wind(m, into, fields)
		if err == nil {
			err = k.settled(m.At, p, onto)
		}
		if err != nil {
			return err
		}
		if _, err := tx.Record(d); err != nil {
			return err
		}
		return k.answerPackages(tx, []stash.PackageID{p.ID, into},
			func(w io.Writer, items []show.Item) {
				fmt.Fprintf(w, "wound %s\n  %s\n  %s\n", m.Mass.Format(k.units),
					items[0].Line(k.units),
					items[1].Line(k.units))
			})
	})
}

// windTarget is the package wound onto: the one of --into, else a new one
// that takes after the old.
func (k *call) windTarget(tx *sqlite.Tx, from stash.Package) (stash.PackageID, stash.Fields,
	error) {
	if name := k.String("into"); name != "" {
		to, err := tx.FindPackage(name)
		if err != nil {
			return "", nil, err
		}
		if to.Yarn != from.Yarn || to.Lot != from.Lot || to.Retired {
			return "", nil, stash.Refuse(stash.CodeRefused,
				"wind it onto an item of the same yarn and lot",
				"%s is of another yarn or dye lot, or retired", to.Label())
		}
		return to.ID, nil, nil
	}
	fields, err := k.facts(stash.WhatPackage, "tag", "form", "bin", "note")
	if err != nil {
		return "", nil, err
	}
	if err := tx.TagFree(fields); err != nil {
		return "", nil, err
	}
	if fields, err = stash.WoundOff(from.PackageFacts, fields); err != nil {
		return "", nil, err
	}
	if price := from.PerMass(); price != nil {
		inherit(fields, "price", *price)
	}
	inherit(fields, "bin", from.Bin)
	if usual := stash.UsualTare(from.Form).Mass; fields["form"] == nil && usual > 0 {
		k.note("what is wound off is taken for a %s too, of %s empty: give --form if it is something else",
			from.Form, usual.Format(k.units))
	}
	inherit(fields, "form", from.Form)
	inherit(fields, "tare", stash.UsualTare(stash.Form(fields.Text("form"))))
	return stash.PackageID(tx.NewID()), fields, nil
}

// inherit fills in a field that was not given and is not empty.
func inherit[T comparable](fields stash.Fields, name string, value T) {
	var none T
	if fields[name] == nil && value != none {
		fields[name], _ = json.Marshal(value)
	}
}
