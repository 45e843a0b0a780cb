package main

import (
	"encoding/json"
	"errors"
	"hash/fnv"
	"io"
	"runtime/debug"
	"strings"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// tableImport is one run over a table in one transaction.
type tableImport struct {
	*call
	tx      *sqlite.Tx
	table   *importers.Table
	names   *intake.Names
	rows    bool // whether anything in the stash came from a row
	yarns   *intake.Yarns
	tags    tagSet
	at      time.Time
	bad     *badRows
	bar     *progress
	report  show.ImportReport
	ids     map[stash.YarnID]bool
	correct bool
	// clears says that an empty cell empties a fact.
	clears bool
	// tagged are the packages of the stash by tag, where the table has a column of
	// tags.
	tagged map[string]stash.PackageID
	// reweighed counts the packages whose weight the sheet has changed.
	reweighed int
	unspilt   int                  // about how many bytes of rows are held since the last spill
	perYarn   map[stash.YarnID]int // packages of each yarn before the import, once counted
	alike     *importAlike
}

// importTable takes in a table of yarns.
func importTable(k *call, path string, book workbook) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	table, err := k.openTable(path, book, importers.Options{})
	if err != nil {
		return err
	}
	k.tellTable(table)
	if err := k.saveMapping(table); err != nil {
		return err
	}
	bad := newBadRows(table, k.String("bad-rows"))
	if err := bad.room(k); err != nil {
		return err
	}
	run := k.act
	if k.Bool("dry-run") {
		run = k.rehearse
	}
	err = run(func(tx *sqlite.Tx) error {
		im := &tableImport{call: k, tx: tx, table: table, at: at, bad: bad,
			correct: k.Bool("correct"), ids: map[stash.YarnID]bool{}}
		if im.correct {
			im.clears = k.Bool("empty-clears")
		}
		return im.run()
	})
	bad.report(k, err)
	return err
}

// run reads the table twice: for the names, then for what they are of.
func (im *tableImport) run() error {
	if err := im.prepare(); err != nil {
		return err
	}
	defer keepWithin(streamMemory)()
	total, err := im.readNames()
	if err != nil {
		return err
	}
	im.bar = im.counting("import", total)
	defer im.bar.done()
	for row := range ahead(im.ctx, im.table, im.names) {
		if err := im.step(row); err != nil {
			return err
		}
		if err := im.recordRow(row); err != nil {
			return err
		}
	}
	if err := im.ctx.Err(); err != nil {
		return err
	}
	if err := im.bad.save(im.call); err != nil {
		return err
	}
	if err := im.bad.err(im.Bool("skip-bad")); err != nil {
		return err
	}
	if err := im.weightsSaid(); err != nil {
		return err
	}
	return im.answerImport()
}

// prepare reads what is in the stash already.
func (im *tableImport) prepare() error {
	yarns, err := im.tx.Yarns()
	if err != nil {
		return err
	}
	im.yarns = intake.NewYarns(yarns)
	im.names = intake.NewNames(im.yarns.Known())
	if im.rows, err = im.tx.HasRows(); err != nil {
		return err
	}
	if im.tags, err = tagsOf(im.tx); err != nil {
		return err
	}
	if im.alike, err = newImportAlike(im.tx, yarns); err != nil {
		return err
	}
	return im.readTagged()
}

// tagSet knows tags, whatever their letter case, by a hash of 64 bits: two of a
// million tags share one with a chance below one in ten million, and one of them
// then comes in without.
type tagSet map[uint64]struct{}

func tagsOf(tx *sqlite.Tx) (tagSet, error) {
	tags := tagSet{}
	return tags, tx.Tags(func(tag string) { tags.claim(tag) })
}

// claim adds a tag and says whether it was free.
func (s tagSet) claim(tag string) bool {
	h := fnv.New64a()
	_, _ = io.WriteString(h, strings.ToLower(tag))
	_, taken := s[h.Sum64()]
	s[h.Sum64()] = struct{}{}
	return !taken
}

// readNames looks at the names of all rows, and counts the rows.
func (im *tableImport) readNames() (int, error) {
	bar := im.counting("reading", -1)
	defer bar.done()
	total, bad := 0, &badRows{}
	for rec, err := range im.table.Records() {
		if total++; total%256 == 0 && im.ctx.Err() != nil {
			return 0, im.ctx.Err()
		}
		bar.step()
		row, isRow := asRow(err)
		switch {
		case err == nil:
			im.names.Add(&rec)
		case isRow:
			if err := bad.tooMany(row); err != nil {
				return 0, err
			}
		default:
			return 0, tableError(err)
		}
	}
	return total, nil
}

// streamMemory is the memory, in bytes, up to which a command that holds little at a
// time collects garbage seldom. SQLite and the program itself have some 50 MB beside it.
const streamMemory = 130 << 20

// keepWithin has garbage collected seldom while memory stays within a limit, and
// as often as it takes beyond. The function that it gives ends that.
func keepWithin(limit int64) func() {
	percent, before := debug.SetGCPercent(400), debug.SetMemoryLimit(limit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(before)
	}
}

// step counts a row; every so many, or so much of them, it looks whether to stop, and
// lets go of what was folded.
func (im *tableImport) step(row *aheadRow) error {
	im.bar.step()
	_, size := row.size()
	im.report.Rows++
	if im.unspilt += 200 + size; im.unspilt < spillEvery {
		return nil
	}
	im.unspilt = 0
	if err := im.ctx.Err(); err != nil {
		return err
	}
	return im.tx.Spill()
}

// spillEvery is after how many bytes what was folded is let go: some 4000 usual rows.
const spillEvery = 800 << 10

func asRow(err error) (*importers.RowError, bool) {
	var row *importers.RowError
	return row, errors.As(err, &row)
}

// recordRow takes in one row, or keeps what is wrong with it.
func (im *tableImport) recordRow(row *aheadRow) error {
	if bad, isRow := asRow(row.err); isRow {
		return im.bad.add(bad)
	}
	if row.err != nil {
		return tableError(row.err)
	}
	e := &row.entry
	var first stash.Package
	var err error
	known := false
	if p, there := im.tagged[strings.ToLower(e.Ref)]; there {
		return im.recordTagged(e, &row.rec, p)
	}
	if im.rows {
		if first, known, err = im.tx.RowPackage(e.Key.Key); err != nil {
			return err
		}
	}
	switch {
	case !known:
		return im.add(e)
	case first.Row.Content == e.Key.Content && !im.clears:
		im.report.Unchanged++
		return nil
	}
	return im.changed(e, &row.rec, first)
}

// add records a new row.
func (im *tableImport) add(e *intake.Entry) error {
	placed, err := im.findYarn(e)
	if err != nil {
		return err
	}
	e.Remark(placed.Differs)
	for i := range e.Packages {
		if err := im.alike.newPackage(e, placed.Name, i); err != nil {
			return err
		}
		if err := im.receive(e, i); err != nil {
			return err
		}
	}
	im.ask(e)
	return nil
}

// findYarn finds the yarn of a row or records it, and what the row says more
// of a yarn that is there.
func (im *tableImport) findYarn(e *intake.Entry) (intake.Placed, error) {
	placed := im.yarns.Place(e, func() stash.YarnID { return stash.YarnID(im.tx.NewID()) })
	e.YarnID = placed.ID
	if !im.ids[placed.ID] {
		im.ids[placed.ID] = true
		im.report.Yarns++
	}
	if placed.New {
		im.report.NewYarns++
		im.alike.newYarn(e, placed.Name)
		name, err := stash.Value(stash.WhatYarn, "name", shortName(placed.Name))
		if err != nil {
			return placed, err
		}
		fields := stash.Fields{"name": name}
		for field, value := range e.Yarn {
			fields[field] = value
		}
		_, err = im.tx.Record(stash.Draft{Kind: stash.KindYarn, Of: stash.Subject(placed.ID),
			At: im.at, Body: stash.Set{What: stash.WhatYarn, Fields: fields}})
		return placed, err
	}
	if len(placed.More) == 0 {
		return placed, nil
	}
	return placed, im.setFacts(im.tx, stash.WhatYarn, stash.Subject(placed.ID), placed.More)
}

// shortName cuts a name to what a name may be.
func shortName(name string) string { return show.Cut(stash.Clean(name), 80) }

// receive records the i-th package of a row.
func (im *tableImport) receive(e *intake.Entry, i int) error {
	p := e.Packages[i]
	fields := p.Fields
	var err error
	if fields["yarn"], err = json.Marshal(e.YarnID); err != nil {
		return err
	}
	if err := im.freeTag(e, fields); err != nil {
		return err
	}
	if fields["row"], err = json.Marshal(e.Row(i)); err != nil {
		return err
	}
	im.report.Packages++
	at, undated := im.weighedOn(p)
	p.Reading.Undated = undated
	_, err = im.tx.Record(stash.Draft{Kind: stash.KindReceive, Of: im.tx.NewID(), At: at,
		Body: stash.Receive{Fields: fields, Reading: p.Reading}})
	return err
}

// weighedOn is when a package is recorded that a row brings: on the day on which it was
// weighed, if the row or --on says so. Else nobody knows when its weight was read.
func (im *tableImport) weighedOn(p intake.Package) (at time.Time, undated bool) {
	day, err := parseWhen("weighed", p.Weighed, im.at)
	if p.Weighed != "" && err == nil && day.Before(im.at) {
		return day, false
	}
	return im.at, p.Weighed == "" && im.String("on") == "" && p.Reading.Given()
}

// freeTag takes a tag that another package carries away, and asks.
func (im *tableImport) freeTag(e *intake.Entry, fields stash.Fields) error {
	if fields["tag"] == nil {
		return nil
	}
	var tag string
	if err := json.Unmarshal(fields["tag"], &tag); err != nil {
		return err
	}
	if im.tags.claim(tag) {
		return nil
	}
	delete(fields, "tag")
	e.Questions = append(e.Questions,
		intake.Question{Text: "the tag " + tag +
			" is on another item already; this one was recorded without"})
	return nil
}

// mostQuestions is how many questions are kept; the rest are counted.
const mostQuestions = 1000

// ask keeps a row's questions.
func (im *tableImport) ask(e *intake.Entry) {
	for _, q := range e.Questions {
		if len(im.report.Questions) >= mostQuestions {
			im.report.More++
			continue
		}
		im.report.Questions = append(im.report.Questions,
			show.ImportQuestion{Line: e.Line, Package: show.Known(e.Tag(0)), Text: q.Text,
				Command: show.Known(q.Command(e.Tag(0)))})
	}
}

// rehearse runs what act would and takes it back.
func (k *call) rehearse(do func(*sqlite.Tx) error) error {
	s, err := k.open()
	if err != nil {
		return err
	}
	return k.told(k.stopped(s.Rehearse(k.ctx,
		func(tx *sqlite.Tx) error { return k.withSettings(tx, do) })))
}
