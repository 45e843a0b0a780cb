package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func showCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "show", Category: groupLooking, ArgsUsage: "ITEM|YARN|PROJECT|PIECE",
		Usage: "Show everything about a ball or cone, a yarn, a project or a piece.",
		Flags: []cli.Flag{&cli.BoolFlag{Name: "sums",
			Usage: "for a finished piece: set what was measured against what was planned"}},
		Action: action(e, 1, 1, showItem),
	}
}

func showItem(k *call) error {
	name := strings.Join(k.Args().Slice(), " ")
	return k.view(func(tx *sqlite.Tx) error {
		m, err := findNamed(tx, name, stash.WhatYarn, stash.WhatPackage, stash.WhatPiece,
			stash.WhatProject)
		switch {
		case err != nil:
			return err
		case m.yarn != nil:
			return k.showYarn(tx, *m.yarn)
		case m.pack != nil:
			return k.showPackage(tx, *m.pack)
		case m.piece != nil:
			return k.showPiece(tx, *m.piece)
		}
		return k.showProject(tx, *m.project)
	})
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
	if err == nil {
		err = nameReceivers(tx, past, events)
	}
	if err != nil {
		return err
	}
	shown := show.Package{Item: s.item(p), Received: p.Received, Used: p.Used,
		Discarded: p.Discarded, Given: p.Account.Given, WoundIn: p.In, WoundOff: p.Out,
		Unexpl: p.Unexplained, PackageNotes: show.PackageNotesOf(p),
		Facts: show.OthersOf(stash.WhatPackage, p.PackageFacts), Disputed: map[string]any{},
		Events: events}
	for field, values := range p.Disputed {
		shown.Disputed[field] = values
	}
	if p.Tare != nil {
		source := string(p.Tare.Source)
		shown.TareMg, shown.TareSource = &p.Tare.Mass, &source
	}
	if shown.Photo, err = photoWords(tx, stash.Subject(p.ID), p.Label()); err != nil {
		return err
	}
	shown.Frozen = show.QuarantineLines(p, s.Settings.Freezer)
	if s.Claims[p.ID] > 0 {
		if err := k.tellClaims(tx, p); err != nil {
			return err
		}
	}
	return k.answer(shown, func(w io.Writer) { show.PrintPackage(w, shown, k.units) })
}

// nameReceivers says of yarn that was given to a recorded person who it was, as the
// screen of a piece does: a history names nobody.
func nameReceivers(tx *sqlite.Tx, past []sqlite.Past, told []show.PastItem) error {
	for i, e := range past {
		var m stash.Movement
		if e.Kind != stash.KindGive || json.Unmarshal(e.Body, &m) != nil || m.Person == "" {
			continue
		}
		who, err := whoHas(tx, stash.Passing{Person: m.Person})
		if err != nil {
			return err
		}
		told[i].Text = strings.TrimSpace(told[i].Text + " " + toWhom(who))
	}
	return nil
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
	shown := show.ShownYarn{YarnShape: show.YarnShapeOf(y),
		Facts:   show.OthersOf(stash.WhatYarn, y.YarnFacts),
		Learned: s.learned(y.ID), Lots: map[string]int{}}
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
		show.PrintPhotoRow(w, photo)
		show.PrintYarnFacts(w, y, shown.Learned, k.units)
		if len(shown.Packages) > 0 {
			show.PrintItems(w, shown.Packages, k.units)
		}
		show.PrintDisputes(w, stash.WhatYarn, y.Name, y.Disputed)
		if len(shown.Lots) > 1 {
			fmt.Fprintln(w, "more than one dye lot: a change of lot inside one colour may show")
		}
	})
}
