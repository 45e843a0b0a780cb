package main

import (
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func weighCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "weigh", Category: groupYarn, ArgsUsage: "ITEM WEIGHT",
		Usage: "Record what the scale shows, with cone, tube or bag.",
		Description: "The scale is right: what is missing and no record explains is kept as \"unexplained\".\n" +
			"If the yarn feeds a piece on the loom, what is missing counts to that piece.",
		Flags: recorded(
			&cli.BoolFlag{Name: "net", Usage: "WEIGHT is of the yarn alone"},
			&cli.StringFlag{Name: "tare", Usage: "`WEIGHT` of the empty cone, tube or bag, now and from now on"},
			&cli.StringFlag{Name: "scale", Usage: "the `WEIGHT` the scale reads to, such as 1g"},
			noteFlag()),
		Action: action(e, 2, 2, weigh),
	}
}

func weigh(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	mass, err := measure.ParseMass(k.Args().Get(1))
	if err != nil {
		if _, swapped := measure.ParseMass(k.Args().First()); swapped == nil {
			return stash.Refuse(stash.CodeUsage, "the package comes first: endsmeet weigh PACKAGE MASS", "%q is not a mass", stash.Clean(k.Args().Get(1)))
		}
		return fmt.Errorf("the weight: %w", err)
	}
	return k.act(func(tx *sqlite.Tx) error {
		p, err := tx.FindPackage(k.Args().First())
		if err != nil {
			return err
		}
		if p, err = k.newTare(tx, p); err != nil {
			return err
		}
		r, err := k.reading(mass)
		if err != nil {
			return err
		}
		if k.Bool("net") {
			r = stash.Reading{Net: &mass, Step: r.Step}
		}
		return k.recordWeighing(tx, p, stash.Move{At: k.afterKnown(at, time.Time{}, p), Reading: r, Note: k.String("note")})
	})
}

// reading makes a gross reading with the step of --scale.
func (k *call) reading(mass measure.Mass) (stash.Reading, error) {
	r := stash.Reading{Gross: &mass}
	if text := k.String("scale"); text != "" {
		step, err := measure.ParseMass(text)
		if err != nil {
			return r, fmt.Errorf("--scale: %w", err)
		}
		r.Step = step
	}
	return r, nil
}

// newTare records the tare given with a weighing, before it.
func (k *call) newTare(tx *sqlite.Tx, p stash.Package) (stash.Package, error) {
	text := k.String("tare")
	if text == "" {
		return p, nil
	}
	value, err := stash.Value(stash.WhatPackage, "tare", text)
	if err != nil {
		return p, err
	}
	if err := k.setFacts(tx, stash.WhatPackage, stash.Subject(p.ID), stash.Fields{"tare": value}); err != nil {
		return p, err
	}
	p, _, err = tx.Package(p.ID)
	return p, err
}

func (k *call) recordWeighing(tx *sqlite.Tx, p stash.Package, m stash.Move) error {
	d, err := p.Weigh(m)
	if err != nil {
		return err
	}
	if _, err := tx.Record(d); err != nil {
		return err
	}
	k.tellSettled(m.At, p)
	return k.answerChange(tx, p, func(w io.Writer, after item) {
		fmt.Fprintln(w, after.line(k.units))
		tellUnexplained(w, p, after.pack, k.units)
	})
}

// tellUnexplained says what a weighing found that the ledger did not know of.
func tellUnexplained(w io.Writer, before, after stash.Package, units measure.System) {
	if onLoom := after.Used - before.Used; onLoom != 0 {
		fmt.Fprintf(w, "  %s went onto the loom and counts to that piece\n", onLoom.Format(units))
	}
	gone := after.Unexplained - before.Unexplained
	switch {
	case gone > 0:
		fmt.Fprintf(w, "  the ledger expected %s more; posted as unexplained\n", gone.Format(units))
	case gone < 0:
		fmt.Fprintf(w, "  the ledger expected %s less; posted as unexplained\n", (-gone).Format(units))
	}
	if after.Held > after.Received && before.Held <= before.Received {
		fmt.Fprintf(w, "  that is more than ever came in, %s: is it the right package, and its tare?\n", after.Received.Format(units))
	}
}
