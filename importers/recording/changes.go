package recording

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// changed lists what a row says otherwise than when it came in, and records it
// if that was asked for. What the weaver has set since then stands, unless the
// sheet changed in the same place.
func (im *tableRun) changed(e *intake.Entry, rec *importers.Record, first stash.Package) error {
	renamed, err := im.otherYarn(e, first)
	if err != nil {
		return err
	}
	if renamed != "" && !im.o.Correct {
		return im.o.Bad.add(&importers.RowError{Line: rec.Line, Problems: []*importers.Problem{{
			File: im.table.Grid.File, Sheet: im.table.Grid.Sheet, Line: rec.Line, Value: e.Ref,
			Reason: fmt.Sprintf("the row of this number came in as %q", renamed),
			Hint:   "--collection NAME if this sheet has numbers of its own, --correct if the yarn was renamed",
		}}})
	}
	change := Change{Line: e.Line, Package: first.Label()}
	for _, p := range e.Packages {
		ahead := p.Fields.Ahead(stash.WhatPackage, im.o.At)
		if bad, err := im.slip(rec, ahead, importers.FieldAcquired); bad || err != nil {
			return err
		}
	}
	if bad, err := im.weightSlips(e, rec); bad || err != nil {
		return err
	}
	bad := im.o.Bad.Problems.Rows
	if err := im.changeYarn(e, rec, first, &change); err != nil || im.o.Bad.Problems.Rows > bad {
		return err
	}
	if err := im.changePackages(e, rec, &change); err != nil {
		return err
	}
	if len(change.Changes) == 0 {
		change.add("nothing that is kept")
	}
	if im.o.Correct {
		im.report.Corrected++
	}
	im.report.Changed = append(im.report.Changed, change)
	return nil
}

// otherYarn is the name of the yarn that a row with a number of its own came in
// as, if it has quite another now; empty if not.
func (im *tableRun) otherYarn(e *intake.Entry, first stash.Package) (string, error) {
	y, _, err := im.tx.Yarn(first.Yarn)
	if e.Ref == "" || alike(e.Name, y.Name) {
		return "", err
	}
	return y.Name, err
}

// changeYarn lists what changed of the yarn, and records it. A fact that differs
// from the yarn's though the sheet did not change stays what it was: the
// weaver's own, or a remark on the package.
func (im *tableRun) changeYarn(e *intake.Entry, rec *importers.Record, first stash.Package,
	change *Change) error {
	placed, err := im.sameYarn(e, first)
	if err != nil {
		return err
	}
	if placed.ID != first.Yarn {
		was, _, err := im.tx.Yarn(first.Yarn)
		if err != nil {
			return err
		}
		change.add("yarn: %s, was %s", placed.Name, was.Name)
	} else if err := im.yarnFacts(e, rec, &placed, first, change); err != nil {
		return err
	}
	if e.YarnID = first.Yarn; !im.o.Correct || placed.ID == first.Yarn {
		return nil
	}
	again, err := im.findYarn(e)
	e.Remark(again.Differs)
	return err
}

// sameYarn finds the yarn of a row that changed: the one that it came in as, where the
// yarn differs only in what the weaver has set since. Where nothing but this row is of
// it, another fibre or count corrects it.
func (im *tableRun) sameYarn(e *intake.Entry, first stash.Package) (intake.Placed, error) {
	if im.perYarn == nil {
		packages, err := im.tx.Packages(true)
		if err != nil {
			return intake.Placed{}, err
		}
		im.perYarn = map[stash.YarnID]int{}
		for _, p := range packages {
			im.perYarn[p.Yarn]++
		}
	}
	placed, ok := im.yarns.As(e)
	if !ok || placed.ID != first.Yarn {
		return im.yarns.Find(e), nil
	}
	imported, err := firstStated(im.tx, stash.Subject(first.Yarn))
	for name, value := range placed.Differs {
		if im.perYarn[first.Yarn] > len(e.Packages) && !bytes.Equal(imported[name], value) {
			return im.yarns.Find(e), err
		}
	}
	return placed, err
}

// yarnFacts lists, and records, the facts of the same yarn that changed in the
// sheet; the other differences stay remarks.
func (im *tableRun) yarnFacts(e *intake.Entry, rec *importers.Record, placed *intake.Placed,
	first stash.Package, change *Change) error {
	before, err := statedByRow(im.tx, first.ID)
	if err != nil {
		return err
	}
	facts, err := im.tx.Facts(stash.Subject(placed.ID))
	if err != nil {
		return err
	}
	imported, err := firstStated(im.tx, stash.Subject(placed.ID))
	if err != nil {
		return err
	}
	shown, changes := facts.Shown(), maps.Clone(placed.More)
	for name, value := range placed.Differs {
		if intake.Remarked(before, name, value) {
			continue
		}
		if delete(placed.Differs, name); !bytes.Equal(imported[name], value) {
			changes[name] = value
		}
	}
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		change.add("%s of the yarn: %s, was %s", name,
			orNothing(stash.ValueText(stash.WhatYarn, name, changes[name])),
			orNothing(stash.ValueText(stash.WhatYarn, name, shown[name])))
	}
	e.Remark(placed.Differs)
	if !im.o.Correct || len(changes) == 0 {
		return nil
	}
	y, _, err := im.tx.Yarn(placed.ID)
	if err != nil {
		return err
	}
	if bad, err := im.countSlip(rec, y, changes); bad || err != nil {
		return err
	}
	im.yarns.Say(*placed, changes)
	return im.tx.SetFacts(stash.WhatYarn, stash.Subject(placed.ID), changes)
}

// firstStated gives the facts that the event stated which made a subject.
func firstStated(tx *sqlite.Tx, id stash.Subject) (stash.Fields, error) {
	past, err := tx.History(id)
	for _, e := range past {
		var body stash.Set
		if e.Kind == stash.KindYarn && !e.Undone && json.Unmarshal(e.Body, &body) == nil {
			return body.Fields, err
		}
	}
	return nil, err
}

// changePackages holds every package of a row against what it was.
func (im *tableRun) changePackages(e *intake.Entry, rec *importers.Record,
	change *Change) error {
	for i := range e.Packages {
		p, found, err := im.tx.RowPackage(e.Row(i).Key)
		if err == nil && found {
			err = im.changePackage(e, i, p, rec, change)
		} else if err == nil {
			err = im.addLater(e, i, change)
		}
		if err != nil {
			return err
		}
	}
	extra, found, err := im.tx.RowPackage(e.Row(len(e.Packages)).Key)
	if err == nil && found {
		change.add("the row has fewer items now; retire what is gone, such as %s", extra.Label())
	}
	return err
}

// addLater takes in a package that the row did not have before.
func (im *tableRun) addLater(e *intake.Entry, i int, change *Change) error {
	change.add("one more item")
	if !im.o.Correct {
		return nil
	}
	return im.receive(e, i)
}

// changePackage lists what changed of one package, and records it.
func (im *tableRun) changePackage(e *intake.Entry, i int, p stash.Package, rec *importers.Record,
	change *Change) error {
	before, err := statedByRow(im.tx, p.ID)
	if err != nil {
		return err
	}
	changes, err := im.differing(p, before, e.Packages[i].Fields, rec)
	if err != nil {
		return err
	}
	if err := packageSays(p, changes, change); err != nil {
		return err
	}
	if p.Yarn != e.YarnID {
		if changes["yarn"], err = json.Marshal(e.YarnID); err != nil {
			return err
		}
	}
	row, weighed := rowWeight(e, i, p, rec)
	weighed = weighed && im.weightSays(p, e.Packages[i].Reading, change)
	if !im.o.Correct {
		return nil
	}
	return im.correctPackage(p, changes, row, e.Packages[i].Reading, weighed)
}

// rowWeight is the i-th package's memory of its row, and whether its weight changed.
func rowWeight(e *intake.Entry, i int, p stash.Package, rec *importers.Record) (stash.Row, bool) {
	row := e.Row(i)
	if rec.Tare == nil && p.Tare != nil && e.Packages[i].Reading.Given() {
		// the cone is known here, and the sheet says nothing of it
		net := p.NetOf(e.Packages[i].Reading)
		row.Net = &net
	}
	return row, row.Net != nil && (p.Row == nil || p.Row.Net == nil || *p.Row.Net != *row.Net)
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// correctPackage records changed facts and a changed mass.
func (im *tableRun) correctPackage(p stash.Package, changes stash.Fields, row stash.Row,
	reading stash.Reading, weighed bool) error {
	raw, err := json.Marshal(row)
	if err != nil {
		return err
	}
	changes["row"] = raw
	if err := im.tx.SetFacts(stash.WhatPackage, stash.Subject(p.ID), changes); err != nil ||
		!weighed {
		return err
	}
	return im.reweigh(p.ID, reading)
}

// reweigh records a changed weight as what --weights says it is.
func (im *tableRun) reweigh(id stash.PackageID, reading stash.Reading) error {
	p, _, err := im.tx.Package(id)
	if err != nil {
		return err
	}
	m := im.weighing(p, reading)
	d, err := p.Weigh(m)
	if err == nil && !m.Receipt {
		err = im.o.Settled(m.At, p)
	}
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
		if e.Undone || e.Kind != stash.KindReceive && e.Kind != stash.KindSet ||
			json.Unmarshal(e.Body, &body) != nil || body.Fields["row"] == nil {
			continue
		}
		maps.Copy(out, body.Fields)
	}
	delete(out, "row")
	return out, err
}

// differing gives what the row states otherwise than the rows before it did, and than
// the stash does now. What it does not state, for want of a column or in an empty cell,
// it says nothing of; with --empty-clears an empty cell of a column that is there clears
// what is recorded. The tag stays as it is, and so does a tare that is known where the
// sheet has none.
func (im *tableRun) differing(p stash.Package, before, row stash.Fields,
	rec *importers.Record) (stash.Fields, error) {
	now, err := stash.FieldsFrom(p.PackageFacts)
	if err != nil {
		return nil, err
	}
	out := stash.Fields{}
	for name, value := range row {
		if !stash.SameFact(name, before[name], value) && !stash.SameFact(name, now[name], value) &&
			name != "tag" && (name != "tare" || rec.Tare != nil || p.Tare == nil) {
			out[name] = value
		}
	}
	for name, value := range now {
		if im.o.Clears && row[name] == nil && im.hasColumn(name) && string(value) != "null" {
			out[name] = json.RawMessage("null")
		}
	}
	return out, nil
}

// hasColumn says whether the sheet has a column for a fact of a package that an
// empty cell may clear.
func (im *tableRun) hasColumn(fact string) bool {
	return slices.ContainsFunc(im.table.Columns,
		func(c importers.Column) bool {
			return string(c.Field) == fact && fact != "tag" &&
				fact != "yarn"
		})
}
