package recording

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
)

// readTagged reads the packages of the stash by tag, where the table has a
// column of tags: what has a tag that is there is that package, whatever import
// or hand it came from.
func (im *tableRun) readTagged() error {
	byTag := func(c importers.Column) bool {
		return c.Field == importers.FieldID && strings.EqualFold(strings.TrimSpace(c.Heading),
			importers.TagHeading)
	}
	if !slices.ContainsFunc(im.table.Columns, byTag) {
		return nil
	}
	im.tagged = map[string]stash.PackageID{}
	retired := map[string]bool{}
	return im.tx.EachPackage(false, func(p stash.Package) error {
		label := strings.ToLower(p.Label())
		if _, there := im.tagged[label]; !there || retired[label] {
			im.tagged[label], retired[label] = p.ID, p.Retired
		}
		return nil
	})
}

// recordTagged holds a row against the package that its tag names, as it is now.
func (im *tableRun) recordTagged(e *intake.Entry, rec *importers.Record,
	id stash.PackageID) error {
	p, _, err := im.tx.Package(id)
	if err != nil {
		return err
	}
	before, err := im.rowBefore(p, e)
	if err != nil {
		return err
	}
	if before != nil && p.Row.Content == e.Key.Content && !im.o.Clears {
		im.report.Unchanged++
		return nil
	}
	y, _, err := im.tx.Yarn(p.Yarn)
	if err != nil {
		return err
	}
	wrong := func(reason, hint string) error {
		return im.o.Bad.add(&importers.RowError{Line: rec.Line, Problems: []*importers.Problem{{
			File: im.table.Grid.File, Sheet: im.table.Grid.Sheet, Line: rec.Line, Value: e.Ref,
			Reason: reason, Hint: hint,
		}}})
	}
	switch {
	case p.Retired:
		return wrong("this tag is on an item that is retired",
			"endsmeet undo of the retirement, or another tag")
	case !alike(e.Name, y.Name):
		return wrong(fmt.Sprintf("this tag is on %s", y.Name), "give the row another tag, or none")
	case len(e.Packages) != 1:
		return wrong("one tag, and several items", "give each item a row")
	}
	changes, err := im.differing(p, before, e.Packages[0].Fields, rec)
	if err != nil {
		return err
	}
	delete(changes, "note") // it gathers what has no column of its own
	return im.changeTagged(e, rec, p, y, changes, before != nil)
}

// alike says whether two names may be of one yarn: one begins as the other.
func alike(a, b string) bool {
	a, b = strings.ToLower(strings.TrimSpace(a)), strings.ToLower(strings.TrimSpace(b))
	return strings.HasPrefix(a, b) || strings.HasPrefix(b, a)
}

// rowBefore gives what the row said of its package before, if it is the package's own;
// a row from elsewhere has said nothing.
func (im *tableRun) rowBefore(p stash.Package, e *intake.Entry) (stash.Fields, error) {
	if p.Row == nil || p.Row.Key != e.Key.Key {
		return nil, nil
	}
	return statedByRow(im.tx, p.ID)
}

// changeTagged tells, before and after, what a row says otherwise than the stash,
// and records it if that was asked for. A row that is the package's own says only what
// it did not say before.
func (im *tableRun) changeTagged(e *intake.Entry, rec *importers.Record, p stash.Package,
	y stash.Yarn, changes stash.Fields, own bool) error {
	change := Change{Line: e.Line, Package: p.Label()}
	ofYarn, err := im.yarnSays(e, rec, y, own, &change)
	if err != nil {
		return err
	}
	if err := packageSays(p, changes, &change); err != nil {
		return err
	}
	row, said := rowWeight(e, 0, p, rec)
	weighed := (said || !own) && im.weightSays(p, e.Packages[0].Reading, &change)
	if len(change.Changes) == 0 {
		im.report.Unchanged++
		return nil
	}
	im.report.Changed = append(im.report.Changed, change)
	if !im.o.Correct {
		return nil
	}
	if bad, err := im.slip(rec, changes.Ahead(stash.WhatPackage, im.o.At)); bad || err != nil {
		return err
	}
	if bad, err := im.taggedSlips(rec, p, y, ofYarn, e.Packages[0]); bad || err != nil {
		return err
	}
	im.report.Corrected++
	if err := im.setSome(stash.WhatYarn, stash.Subject(y.ID), ofYarn); err != nil {
		return err
	}
	if own || p.Row == nil {
		return im.correctPackage(p, changes, row, e.Packages[0].Reading, weighed)
	}
	if err := im.setSome(stash.WhatPackage, stash.Subject(p.ID), changes); err != nil || !weighed {
		return err
	}
	return im.reweigh(p.ID, e.Packages[0].Reading)
}

// packageSays lists the facts of a package that its row states otherwise.
func packageSays(p stash.Package, changes stash.Fields, change *Change) error {
	now, err := stash.FieldsFrom(p.PackageFacts)
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		change.add("%s: %s, was %s", name,
			orNothing(stash.ValueText(stash.WhatPackage, name, changes[name])),
			orNothing(stash.ValueText(stash.WhatPackage, name, now[name])))
	}
	return err
}

// weightSays lists the weight of a row that differs from what is left, or from what
// came in where the sheet's weights are of that, and says whether it does.
func (im *tableRun) weightSays(p stash.Package, reading stash.Reading,
	change *Change) bool {
	if !reading.Given() {
		return false
	}
	what, was, net := "left", p.Held, p.NetOf(reading)
	if im.o.Weights == WeightsReceived {
		what, was = "came in", p.Received
	}
	if p.Known && net == was {
		return false
	}
	change.add("%s: %s, was %s", what, net.Format(im.o.Units), was.Format(im.o.Units))
	im.report.Reweighed++
	return true
}

// taggedSlips asks about the weight and the count of a row with a tag.
func (im *tableRun) taggedSlips(rec *importers.Record, p stash.Package, y stash.Yarn,
	ofYarn stash.Fields, row intake.Package) (bool, error) {
	if bad, err := im.countSlip(rec, y, ofYarn); bad || err != nil {
		return bad, err
	}
	return im.weightSlip(rec, p, row)
}

// setSome records facts, if there are any.
func (im *tableRun) setSome(what stash.What, id stash.Subject, fields stash.Fields) error {
	if len(fields) == 0 {
		return nil
	}
	return im.tx.SetFacts(what, id, fields)
}

// yarnSays lists fibre and count of the yarn where the row states others.
func (im *tableRun) yarnSays(e *intake.Entry, rec *importers.Record, y stash.Yarn, own bool,
	change *Change) (stash.Fields, error) {
	var before stash.Fields
	now, err := stash.FieldsFrom(y.YarnFacts)
	if err == nil && own {
		before, err = firstStated(im.tx, stash.Subject(y.ID))
	}
	out := stash.Fields{}
	for _, name := range []string{"fibre", "count"} {
		value := e.Yarn[name]
		if err != nil || value == nil || stash.SameFact(name, now[name], value) ||
			bytes.Equal(before[name], value) || name == "count" && bareCount(rec, y) {
			continue
		}
		out[name] = value
		change.add("%s of the yarn: %s, was %s", name,
			orNothing(stash.ValueText(stash.WhatYarn, name, value)),
			orNothing(stash.ValueText(stash.WhatYarn, name, now[name])))
	}
	return out, err
}

// bareCount says whether a row gives the count of its yarn as it is, and no word of
// where that comes from or how sure it is.
func bareCount(rec *importers.Record, y stash.Yarn) bool {
	return y.Count != nil && rec.Count.Count == y.Count.Count && rec.CountSource == "" &&
		rec.Doubt == nil
}
