package recording

import (
	"context"
	"encoding/json"
	"hash/fnv"
	"io"
	"slices"
	"strings"
	"time"

	"endsmeet/importers"
	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"

	"github.com/mattn/go-runewidth"
)

// tableRun is one run over a table of yarn in one transaction.
type tableRun struct {
	ctx    context.Context
	tx     *sqlite.Tx
	table  *importers.Table
	o      Options
	names  *intake.Names
	any    bool // whether anything in the stash came from a row
	yarns  *intake.Yarns
	tags   tagSet
	bar    Bar
	report Report
	ids    map[stash.YarnID]bool
	// tagged are the packages of the stash by tag, where the table has a column of
	// tags.
	tagged  map[string]stash.PackageID
	unspilt int                  // about how many bytes of rows are held since the last spill
	perYarn map[stash.YarnID]int // packages of each yarn before the import, once counted
	alike   *likeness
}

// TableRows records what the rows of a table say that the stash does not, and tells what it
// did. It reads the table twice: for the names, then for what they are of. What is wrong with
// rows is kept in o.Bad; nothing of such a row is recorded. Whoever calls it takes all back
// where it fails or where bad rows are too many for them.
func TableRows(ctx context.Context, tx *sqlite.Tx, t *importers.Table, o Options) (Report, error) {
	if !o.Correct {
		o.Clears = false
	}
	im := &tableRun{ctx: ctx, tx: tx, table: t, o: o, ids: map[stash.YarnID]bool{}}
	err := im.record()
	return im.told(), err
}

func (im *tableRun) record() error {
	if err := im.prepare(); err != nil {
		return err
	}
	total, err := im.readNames()
	if err != nil {
		return err
	}
	im.bar = im.o.Progress("import", total)
	defer im.bar.Done()
	for row := range ahead(im.ctx, im.table, im.names) {
		if err := im.step(row); err != nil {
			return err
		}
		if err := im.recordRow(row); err != nil {
			return err
		}
	}
	return im.ctx.Err()
}

// prepare reads what is in the stash already.
func (im *tableRun) prepare() error {
	yarns, err := im.tx.Yarns()
	if err != nil {
		return err
	}
	im.yarns = intake.NewYarns(yarns)
	im.names = intake.NewNames(im.yarns.Known())
	if im.any, err = im.tx.HasRows(); err != nil {
		return err
	}
	if im.tags, err = tagsOf(im.tx); err != nil {
		return err
	}
	if im.alike, err = newLikeness(im.tx, yarns); err != nil {
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
func (im *tableRun) readNames() (int, error) {
	bar := im.o.Progress("reading", -1)
	defer bar.Done()
	total, bad := 0, &Bad{}
	for rec, err := range im.table.Records() {
		if total++; total%256 == 0 && im.ctx.Err() != nil {
			return 0, im.ctx.Err()
		}
		bar.Step()
		row, isRow := asRow(err)
		switch {
		case err == nil:
			im.names.Add(&rec)
		case isRow:
			if err := bad.tooMany(row); err != nil {
				return 0, err
			}
		default:
			return 0, err
		}
	}
	return total, nil
}

// step counts a row; every so many, or so much of them, it looks whether to stop, and
// lets go of what was folded.
func (im *tableRun) step(row *aheadRow) error {
	im.bar.Step()
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

// recordRow takes in one row, or keeps what is wrong with it.
func (im *tableRun) recordRow(row *aheadRow) error {
	if bad, isRow := asRow(row.err); isRow {
		return im.o.Bad.add(bad)
	}
	if row.err != nil {
		return row.err
	}
	e := &row.entry
	var first stash.Package
	var err error
	known := false
	if p, there := im.tagged[strings.ToLower(e.Ref)]; there {
		return im.recordTagged(e, &row.rec, p)
	}
	if im.any {
		if first, known, err = im.tx.RowPackage(e.Key.Key); err != nil {
			return err
		}
	}
	switch {
	case !known:
		return im.add(e)
	case first.Row.Content == e.Key.Content && !im.o.Clears:
		im.report.Unchanged++
		return nil
	}
	return im.changed(e, &row.rec, first)
}

// add records a new row.
func (im *tableRun) add(e *intake.Entry) error {
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
func (im *tableRun) findYarn(e *intake.Entry) (intake.Placed, error) {
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
			At: im.o.At, Body: stash.Set{What: stash.WhatYarn, Fields: fields}})
		return placed, err
	}
	if len(placed.More) == 0 {
		return placed, nil
	}
	return placed, im.tx.SetFacts(stash.WhatYarn, stash.Subject(placed.ID), placed.More)
}

// shortName cuts a name to what a name may be.
func shortName(name string) string { return runewidth.Truncate(stash.Clean(name), 80, "…") }

// receive records the i-th package of a row.
func (im *tableRun) receive(e *intake.Entry, i int) error {
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
	if ahead := fields.Ahead(stash.WhatPackage, im.o.At); ahead != "" {
		e.Questions = append(e.Questions, intake.Question{Text: ahead})
	}
	e.Questions = append(e.Questions, im.tooOld(e, fields)...)
	at, undated := im.weighedOn(p)
	p.Reading.Undated = undated
	_, err = im.tx.Record(stash.Draft{Kind: stash.KindReceive, Of: im.tx.NewID(), At: at,
		Body: stash.Receive{Fields: fields, Reading: p.Reading}})
	return err
}

// tooOld asks about a package that counts as perished by its age and not by what the row
// says of it.
func (im *tableRun) tooOld(e *intake.Entry, fields stash.Fields) []intake.Question {
	var y stash.YarnFacts
	_ = json.Unmarshal(e.Yarn["fibre"], &y.Fibre)
	_ = json.Unmarshal(e.Yarn["hazards"], &y.Hazards)
	p := stash.Package{PackageFacts: stash.PackageFacts{Acquired: fields.Text("acquired")}}
	why := stash.BarPerished.Words(p, y, im.o.At)
	if p.Acquired == "" || why == "" || slices.Contains(y.Hazards, "perished") {
		return nil
	}
	return []intake.Question{{Text: "it " + why + "; it counts as that, and is not available, until " +
		"its fibre says otherwise", How: "unmarked %s"}}
}

// weighedOn is when a package is recorded that a row brings: on the day on which it was
// weighed, if the row or its import says so. Else nobody knows when its weight was read.
func (im *tableRun) weighedOn(p intake.Package) (at time.Time, undated bool) {
	now := im.o.At
	day, err := time.Parse(time.DateOnly, p.Weighed)
	noon := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, now.Location())
	if err == nil && noon.Before(now) &&
		p.Weighed != now.Format(time.DateOnly) {
		return noon, false
	}
	return now, p.Weighed == "" && !im.o.Dated && p.Reading.Given()
}

// freeTag takes a tag that another package carries away, and asks.
func (im *tableRun) freeTag(e *intake.Entry, fields stash.Fields) error {
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
func (im *tableRun) ask(e *intake.Entry) {
	for _, q := range e.Questions {
		if len(im.report.Questions) >= mostQuestions {
			im.report.More++
			continue
		}
		im.report.Questions = append(im.report.Questions,
			Question{Line: e.Line, Package: stash.Known(e.Tag(0)), Text: q.Text,
				Command: stash.Known(q.Command(e.Tag(0)))})
	}
}
