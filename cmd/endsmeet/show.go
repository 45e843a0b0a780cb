package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func showCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "show", Category: groupLooking, ArgsUsage: "ITEM|YARN|PROJECT|PIECE",
		Usage: "Show everything about a yarn, a ball or cone, or a piece.",
		Flags: []cli.Flag{&cli.BoolFlag{Name: "sums",
			Usage: "for a finished piece: set what was measured against what was planned"}},
		Action: action(e, 1, 1, showItem),
	}
}

func showItem(k *call) error {
	name := strings.Join(k.Args().Slice(), " ")
	return k.view(func(tx *sqlite.Tx) error {
		y, found, err := tx.YarnCalled(name)
		if err != nil {
			return err
		}
		if found {
			return k.showYarn(tx, y)
		}
		p, packErr := tx.FindPackage(name)
		if packErr == nil {
			return k.showPackage(tx, p)
		}
		if y, err := tx.FindYarn(name); err == nil {
			return k.showYarn(tx, y)
		}
		if piece, err := tx.FindPiece(name); err == nil {
			return k.showPiece(tx, piece)
		}
		if b, err := tx.FindProject(name); err == nil {
			return k.showProject(tx, b)
		}
		return packErr
	})
}

// shownPackage is the JSON shape of one package.
type shownPackage struct {
	item
	TareMg     *measure.Mass `json:"tare_mg"`
	TareSource *string       `json:"tare_source"`
	Received   measure.Mass  `json:"received_mg"`
	Used       measure.Mass  `json:"used_mg"`
	Discarded  measure.Mass  `json:"discarded_mg"`
	Given      measure.Mass  `json:"given_mg"`
	WoundIn    measure.Mass  `json:"wound_in_mg"`
	WoundOff   measure.Mass  `json:"wound_off_mg"`
	Unexpl     measure.Mass  `json:"unexplained_mg"`
	packageNotes
	// Facts are those that no other key tells, as they would be typed.
	Facts    otherFacts     `json:"facts"`
	Disputed map[string]any `json:"disputed"`
	Events   []pastItem     `json:"events"`

	photo string
	// frozen says how to freeze it against insects.
	frozen []string
}

func (k *call) showPackage(tx *sqlite.Tx, p stash.Package) error {
	s, err := shelfFor(tx, p.Yarn)
	if err != nil {
		return err
	}
	past, err := tx.History(stash.Subject(p.ID))
	if err != nil {
		return err
	}
	events, err := k.pastItems(tx, past, p.ID, s.Yarns[p.Yarn].Tex())
	if err != nil {
		return err
	}
	shown := shownPackage{item: s.item(p), Received: p.Received, Used: p.Used,
		Discarded: p.Discarded, Given: p.Account.Given, WoundIn: p.In, WoundOff: p.Out,
		Unexpl: p.Unexplained, packageNotes: packageNotesOf(p),
		Facts: othersOf(stash.WhatPackage, p.PackageFacts), Disputed: map[string]any{},
		Events: events}
	for field, values := range p.Disputed {
		shown.Disputed[field] = values
	}
	if p.Tare != nil {
		source := string(p.Tare.Source)
		shown.TareMg, shown.TareSource = &p.Tare.Mass, &source
	}
	if shown.photo, err = photoWords(tx, stash.Subject(p.ID), p.Label()); err != nil {
		return err
	}
	shown.frozen = quarantineLines(p, s.Settings.Freezer)
	return k.answer(shown, func(w io.Writer) { printPackage(w, shown, k.units) })
}

func printPackage(w io.Writer, s shownPackage, units measure.System) {
	it, p := s.item, s.pack
	fmt.Fprintln(w, it.line(units))
	row := func(name, value string) {
		if value != "" {
			fmt.Fprintf(w, "  %-12s %s\n", name, stash.Clean(value))
		}
	}
	row("id", string(it.ID))
	row("state", it.State)
	row("form", string(p.Form))
	row("dye lot", p.Lot)
	row("bin", p.Bin)
	row("acquired", p.Acquired)
	row("price", priceWords(p.Price))
	row("tare", tareWords(p.Tare, units))
	row("available", massWords(it.AvailableMg, units))
	row("doubt", doubtWords(it, units))
	row("flags", strings.Join(it.Flags, ", "))
	row("lent to", p.LentTo)
	row("quarantine", quarantineWords(p.Quarantine))
	row("reserved", reserveWords(p.Reserve, units))
	row("longest", lengthWords(p.Longest, units))
	row("knots", knotWords(p.Knots))
	row("source", p.Source)
	row("note", p.Note)
	row("photo", s.photo)
	printOtherFacts(w, s.Facts)
	printYarnFacts(w, it.recorded, it.learned, units)
	printAccount(w, p, units)
	for _, q := range p.Question {
		row("question", q)
	}
	for _, field := range slices.Sorted(maps.Keys(p.Disputed)) {
		row("question", "machines say different things of "+field+"; `set` it to settle")
	}
	printLines(w, s.frozen)
	printPast(w, s.Events)
}

// printAccount prints where a package's yarn went, leaving out what is zero.
func printAccount(w io.Writer, p stash.Package, units measure.System) {
	parts := []string{"received " + p.Received.Format(units)}
	for _, part := range []struct {
		name string
		mass measure.Mass
	}{{"wound in", p.In}, {"used", p.Used}, {"discarded", p.Discarded}, {"given", p.Account.Given},
		{"wound off", p.Out}, {"unexplained", p.Unexplained}} {
		if part.mass != 0 {
			parts = append(parts, part.name+" "+part.mass.Format(units))
		}
	}
	text := wrap(strings.Join(append(parts, "holds "+p.Held.Format(units)), ", "),
		"               ", pageWidth)
	fmt.Fprint(w, "  account     "+strings.TrimPrefix(text, "              "))
}

// printYarnFacts prints what is recorded of a yarn, and what is not.
// printYarnFacts prints the facts of a yarn as recorded, and its count as learned.
func printYarnFacts(w io.Writer, y stash.Yarn, learned *making.Loss, units measure.System) {
	row := func(name, value string) {
		if value == "" {
			value = "not recorded"
		}
		fmt.Fprintf(w, "  %-12s %s\n", name, stash.Clean(value))
	}
	row("fibre", fibreWords(y))
	if learned != nil {
		row("count", learned.Text+", "+learned.Basis)
	} else {
		row("count", countWords(y.Count, units))
	}
	row("built", strings.Join(y.Construction, ", "))
	row("fit for", string(y.Fit))
	row("shedding", sheddingWords(y.Shedding))
	row("stretch", string(y.Stretch))
	row("shrinks", string(y.Shrinks))
	row("wash", washWords(y.Wash))
	row("bleeds", string(y.Bleeds))
	if y.Odour != "" {
		row("odour", y.Odour)
	}
	if y.Note != "" {
		row("yarn note", y.Note)
	}
	printOtherFacts(w, othersOf(stash.WhatYarn, y.YarnFacts))
}

// shownYarn is the JSON shape of one yarn with its packages.
type shownYarn struct {
	yarnShape
	Facts otherFacts `json:"facts"`
	// Learned is the count that finished pieces show, null where the recorded one
	// stands.
	Learned  *making.Loss   `json:"learned_count"`
	Packages []item         `json:"packages"`
	NetMg    measure.Mass   `json:"net_mg"`
	Lots     map[string]int `json:"lots"`
}

func (k *call) showYarn(tx *sqlite.Tx, y stash.Yarn) error {
	s, err := shelfFor(tx, y.ID)
	if err != nil {
		return err
	}
	packages, err := tx.PackagesOf(y.ID)
	if err != nil {
		return err
	}
	shown := shownYarn{yarnShape: yarnShapeOf(y), Facts: othersOf(stash.WhatYarn, y.YarnFacts),
		Learned: s.learned(y.ID), Packages: []item{}, Lots: map[string]int{}}
	for _, p := range packages {
		shown.Packages = append(shown.Packages, s.item(p))
		shown.NetMg += p.Held
		shown.Lots[p.Lot]++
	}
	photo, err := photoWords(tx, stash.Subject(y.ID), y.Name)
	if err != nil {
		return err
	}
	return k.answer(shown, func(w io.Writer) {
		fmt.Fprintln(w, stash.Clean(y.Name))
		printPhotoRow(w, photo)
		printYarnFacts(w, y, shown.Learned, k.units)
		if len(shown.Packages) > 0 {
			printItems(w, shown.Packages, k.units)
		}
		for _, field := range slices.Sorted(maps.Keys(y.Disputed)) {
			fmt.Fprintf(w, "machines say different things of %s; `set` it to settle\n", field)
		}
		if len(shown.Lots) > 1 {
			fmt.Fprintln(w, "more than one dye lot: a change of lot inside one colour may show")
		}
	})
}
