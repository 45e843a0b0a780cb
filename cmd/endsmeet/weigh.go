package main

import (
	"cmp"
	"fmt"
	"io"
	"regexp"
	"sync"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func weighCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "weigh", Category: groupYarn, ArgsUsage: "ITEM WEIGHT",
		Usage: "Record what the scale shows, with cone, tube or bag.",
		Description: "The scale is right: what is missing and no record explains is kept as \"unexplained\".\n" +
			"If the yarn feeds a piece on the loom, what is missing counts as used in that piece.\n" +
			"`endsmeet stocktake` weighs a whole bin.",
		Flags: recorded(
			&cli.BoolFlag{Name: "net", Usage: "WEIGHT is of the yarn alone"},
			&cli.StringFlag{Name: "tare",
				Usage: "`WEIGHT` of the empty cone, tube or bag, now and from now on"},
			&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
			fromFlag(), noteFlag()),
		Action: action(e, 0, 2, weigh),
	}
}

func weigh(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	one, err := k.itemIn(2)
	if err != nil {
		return err
	}
	return inLines(k, one, func(tx *sqlite.Tx, l line) (told[show.Item], error) {
		mass, err := k.weightOf(l)
		if err != nil {
			return told[show.Item]{}, err
		}
		p, err := k.weighOne(tx, l.item, mass, at)
		if err != nil {
			return told[show.Item]{}, err
		}
		after, err := k.afterChange(tx, p)
		return told[show.Item]{after, func(w io.Writer) { k.tellWeighed(w, p, after) }}, err
	})
}

// weightOf reads the weight of a line.
func (k *call) weightOf(l line) (measure.Mass, error) {
	text, err := k.wordOf(l, "weight")
	if err != nil {
		return 0, err
	}
	mass, err := k.mass(text)
	if err == nil {
		return mass, nil
	}
	if _, swapped := typed(k, l.item, measure.ParseMass); swapped == nil && l.number == 0 {
		return 0, stash.Refuse(stash.CodeUsage, "the item comes first: endsmeet weigh ITEM WEIGHT",
			"%q is not a weight", stash.Clean(text))
	}
	return 0, fmt.Errorf("the weight: %w", err)
}

// weighOne records what a scale shows of an item, and gives the item as it was.
func (k *call) weighOne(tx *sqlite.Tx, name string, mass measure.Mass, at time.Time) (stash.Package,
	error) {
	p, err := tx.FindPackage(name)
	if err != nil {
		return p, err
	}
	if p, err = k.newTare(tx, p); err != nil {
		return p, err
	}
	r, err := k.reading(mass)
	if err != nil {
		return p, err
	}
	if k.Bool("net") {
		r = stash.Reading{Net: &mass, Step: r.Step}
	}
	m := stash.Move{At: k.weighedAt(tx, at, p), Reading: r, Note: k.String("note")}
	d, err := p.Weigh(m)
	if err == nil {
		err = cmp.Or(k.credible(p, m), k.asRead(p.Away(m, k.units)), k.settled(m.At, p))
	}
	if err != nil {
		return p, err
	}
	_, err = tx.Record(d)
	return p, err
}

func (k *call) tellWeighed(w io.Writer, before stash.Package, after show.Item) {
	fmt.Fprintln(w, after.Line(k.units))
	if before.Held != after.Pack.Held { // else a later weighing stands
		show.TellUnexplained(w, before, after.Pack, k.units)
	}
}

// mass reads a weight; one without a unit is in that of the scale, once it was
// said.
func (k *call) mass(text string) (measure.Mass, error) {
	mass, err := typed(k, text, measure.ParseMass)
	if err == nil || !bareNumber().MatchString(text) {
		return mass, err
	}
	settings, found := k.knownSettings()
	if !found || settings.ScaleUnit == "" {
		return mass, err
	}
	return typed(k, text+" "+settings.ScaleUnit, measure.ParseMass)
}

var bareNumber = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\s*[0-9][0-9.,/ ]*$`)
})

// knownSettings are the settings of the stash, wherever a command is in its
// reading; nothing where they cannot be read.
func (k *call) knownSettings() (stash.Settings, bool) {
	var settings stash.Settings
	err := sqlite.Peek(k.ctx, k.env.stashPath(k.String("stash")), func(tx *sqlite.Tx) (err error) {
		settings, err = tx.Settings()
		return err
	})
	return settings, err == nil
}

// reading makes a gross reading with the step of --scale.
func (k *call) reading(mass measure.Mass) (stash.Reading, error) {
	step, err := k.scaleStep()
	return stash.Reading{Gross: &mass, Step: step}, err
}

// scaleStep is the step of --scale, 0 where it is not given.
func (k *call) scaleStep() (measure.Mass, error) {
	text := k.String("scale")
	if text == "" {
		return 0, nil
	}
	step, err := k.mass(text)
	if err != nil {
		return 0, fmt.Errorf("--scale: %w", err)
	}
	return step, nil
}

// newTare records the tare given with a weighing, before it.
func (k *call) newTare(tx *sqlite.Tx, p stash.Package) (stash.Package, error) {
	text := k.String("tare")
	if text == "" {
		return p, nil
	}
	value, err := k.fact(stash.WhatPackage, "tare", text)
	if err != nil {
		return p, err
	}
	if err := tx.SetFacts(stash.WhatPackage, stash.Subject(p.ID),
		stash.Fields{"tare": value}); err != nil {
		return p, err
	}
	p, _, err = tx.Package(p.ID)
	return p, err
}
