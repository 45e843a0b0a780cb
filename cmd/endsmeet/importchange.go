package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// changed lists what a row says otherwise than when it came in, and records it
// if that was asked for. What the weaver has set since then stands, unless the
// sheet changed in the same place.
func (im *tableImport) changed(e *intake.Entry, rec *importers.Record, first stash.Package) error {
	renamed, err := im.otherYarn(e, first)
	if err != nil {
		return err
	}
	if renamed != "" && !im.correct {
		return im.bad.add(&importers.RowError{Line: rec.Line, Problems: []*importers.Problem{{
			File: im.table.Grid.File, Sheet: im.table.Grid.Sheet, Line: rec.Line, Value: e.Ref,
			Reason: fmt.Sprintf("the row of this number came in as %q", renamed),
			Hint:   "--collection NAME if this sheet has numbers of its own, --correct if the yarn was renamed",
		}}})
	}
	change := importChange{Line: e.Line, Package: first.Label()}
	if err := im.changePackages(e, &change); err != nil {
		return err
	}
	if im.correct {
		im.report.Corrected++
	}
	im.report.Changed = append(im.report.Changed, change)
	return nil
}

// otherYarn is the name of the yarn that a row with a number of its own came in
// as, if it has quite another now; empty if not.
func (im *tableImport) otherYarn(e *intake.Entry, first stash.Package) (string, error) {
	y, _, err := im.tx.Yarn(first.Yarn)
	if e.Ref == "" || strings.HasPrefix(strings.ToLower(y.Name), strings.ToLower(e.Name)) || strings.HasPrefix(strings.ToLower(e.Name), strings.ToLower(y.Name)) {
		return "", err
	}
	return y.Name, err
}

// changePackages holds every package of a row against what it was.
func (im *tableImport) changePackages(e *intake.Entry, change *importChange) error {
	yarnChanged := false
	if im.correct {
		placed, err := im.placeYarn(e, true)
		if err != nil {
			return err
		}
		yarnChanged = len(placed.Differs)+len(placed.More) > 0 || placed.New
	}
	for i := range e.Packages {
		p, found, err := im.tx.RowPackage(e.Row(i).Key)
		if err == nil && found {
			err = im.changePackage(e, i, p, change)
		} else if err == nil {
			err = im.addLater(e, i, change)
		}
		if err != nil {
			return err
		}
	}
	if extra, found, err := im.tx.RowPackage(e.Row(len(e.Packages)).Key); err != nil || found {
		change.add("the row has fewer packages now; retire what is gone, such as %s", extra.Label())
		return err
	}
	if yarnChanged || len(change.Changes) == 0 {
		change.add("what it says of the yarn")
	}
	return nil
}

// addLater takes in a package that the row did not have before.
func (im *tableImport) addLater(e *intake.Entry, i int, change *importChange) error {
	change.add("one more package")
	if !im.correct {
		return nil
	}
	return im.receive(e, i)
}

// changePackage lists what changed of one package, and records it.
func (im *tableImport) changePackage(e *intake.Entry, i int, p stash.Package, change *importChange) error {
	before, err := statedByRow(im.tx, p.ID)
	if err != nil {
		return err
	}
	now := maps.Clone(e.Packages[i].Fields)
	if im.correct {
		if now["yarn"], err = json.Marshal(e.YarnID); err != nil {
			return err
		}
	}
	changes := differing(before, now)
	if !im.correct {
		delete(changes, "yarn")
	}
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		change.add("%s: %s, was %s", name, orNothing(stash.ValueText(stash.WhatPackage, name, changes[name])), orNothing(stash.ValueText(stash.WhatPackage, name, before[name])))
	}
	row := e.Row(i)
	weighed := row.Net != nil && (p.Row.Net == nil || *p.Row.Net != *row.Net)
	if weighed {
		change.add("net: %s, was %s", row.Net.Format(im.units), massWords(p.Row.Net, im.units))
	}
	if !im.correct {
		return nil
	}
	return im.correctPackage(p, changes, row, e.Packages[i].Reading, weighed)
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// correctPackage records changed facts and a changed mass.
func (im *tableImport) correctPackage(p stash.Package, changes stash.Fields, row stash.Row, reading stash.Reading, weighed bool) error {
	raw, err := json.Marshal(row)
	if err != nil {
		return err
	}
	changes["row"] = raw
	if err := im.setFacts(im.tx, stash.WhatPackage, stash.Subject(p.ID), changes); err != nil || !weighed {
		return err
	}
	if p, _, err = im.tx.Package(p.ID); err != nil {
		return err
	}
	d, err := p.Weigh(stash.Move{Reading: reading, At: im.at})
	if err != nil {
		return err
	}
	_, err = im.tx.Record(d)
	return err
}

// statedByRow gives what the rows of imports have stated of a package so far.
func statedByRow(tx *sqlite.Tx, id stash.PackageID) (stash.Fields, error) {
	past, err := tx.History(stash.Subject(id))
	out := stash.Fields{}
	for _, e := range past {
		var body stash.Receive
		if e.Undone || e.Kind != stash.KindReceive && e.Kind != stash.KindSet || json.Unmarshal(e.Body, &body) != nil || body.Fields["row"] == nil {
			continue
		}
		maps.Copy(out, body.Fields)
	}
	delete(out, "row")
	return out, err
}

// differing gives what is stated otherwise now; what is stated no more is null.
// The tag stays as it is.
func differing(before, now stash.Fields) stash.Fields {
	out := stash.Fields{}
	for name, value := range now {
		if !bytes.Equal(before[name], value) && name != "tag" {
			out[name] = value
		}
	}
	for name, value := range before {
		if now[name] == nil && name != "tag" && name != "yarn" && string(value) != "null" {
			out[name] = json.RawMessage("null")
		}
	}
	return out
}
