package main

import (
	"cmp"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// writtenReading is one line of a file of readings, with where it stands.
type writtenReading struct {
	place
	tag string
	stockReading
}

// stocktakeFile records the readings in a file or a pipe: all of them, or none
// where one cannot be taken.
func (k *call) stocktakeFile() error {
	at, err := k.when()
	if err != nil {
		return err
	}
	if k.Bool("move") && k.NArg() == 0 {
		return stash.Refuse(stash.CodeUsage, "Name the bin: endsmeet stocktake A1 --move.",
			"--move records the bin that is gone through, and none is named.")
	}
	read := k.readingsListed
	if sheet(k.String("from")) {
		read = k.readingsInSheet
	}
	return k.recordCount(k.Args().First(), func(_ *sqlite.Tx, room *show.Stockroom) ([]stockReading,
		error) {
		lines, err := read()
		if err != nil {
			return nil, err
		}
		for i := range lines {
			lines[i].At = at
		}
		return k.judged(room, lines)
	})
}

// sheet says whether a file is a table by its name.
func sheet(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".tsv", ".xlsx", ".ods":
		return true
	}
	return false
}

// readingsListed reads a tag and a weight from each line.
func (k *call) readingsListed() ([]writtenReading, error) {
	lines, err := k.linesOf(cmp.Or(k.String("from"), "-"))
	if err != nil {
		return nil, err
	}
	step, err := k.scaleStep()
	if err != nil {
		return nil, err
	}
	var out []writtenReading
	for _, l := range lines {
		one := writtenReading{place: l.place, tag: l.item,
			stockReading: stockReading{Net: k.Bool("net"), Step: step}}
		if l.rest == "" {
			return nil, stash.Refuse(stash.CodeInput, "Write it after the tag: Y01 412g",
				"%s: %s has no weight.", l.place, stash.Quote(l.item))
		}
		if one.Mass, err = k.stockMass(l.rest); err != nil {
			return nil, lineError{l.place, err}
		}
		out = append(out, one)
	}
	return out, nil
}

// readingsInSheet reads a table with columns for the tag and the weight.
func (k *call) readingsInSheet() ([]writtenReading, error) {
	book, err := openBook(k.String("from"))
	if err != nil {
		return nil, tableError(err)
	}
	if book != nil {
		defer book.Close()
	}
	table, err := k.openTable(k.String("from"), book,
		importers.Options{Readings: true, Unit: k.stockUnit()})
	if err != nil {
		return nil, err
	}
	step, err := k.scaleStep()
	if err != nil {
		return nil, err
	}
	var out []writtenReading
	for rec, err := range table.Records() {
		if err != nil {
			return nil, tableError(err)
		}
		one := writtenReading{place: place{stash.Clean(table.Grid.File), rec.Line}, tag: rec.Ref, stockReading: stockReading{Step: step}}
		if !one.weight(rec, k.Bool("net")) {
			continue // not weighed
		}
		out = append(out, one)
	}
	if len(out) == 0 {
		return nil, stash.Refuse(stash.CodeInput, "", "%s holds no reading.",
			stash.Clean(table.Grid.File))
	}
	return out, nil
}

// weight takes the weight of a row; false where it has none.
func (w *writtenReading) weight(rec importers.Record, net bool) bool {
	switch {
	case rec.Gross != nil:
		w.Mass, w.Net = *rec.Gross, net
	case rec.Net != nil:
		w.Mass, w.Net = *rec.Net, true
	default:
		return false
	}
	return true
}

// judged holds every line against the shelf and gives the readings, or says
// of all that cannot be taken where they stand and why.
func (k *call) judged(room *show.Stockroom, lines []writtenReading) ([]stockReading, error) {
	var bad []lineError
	var reads []stockReading
	first := map[stash.PackageID]place{}
	for _, l := range lines {
		it, err := room.Find(l.tag)
		if err == nil && first[it.ID].number > 0 {
			err = stash.Refuse(stash.CodeInput, "", "%s is there twice, first in %s.", it.Tag,
				first[it.ID])
		}
		if err == nil {
			first[it.ID], l.ID = l.place, it.ID
			err = l.checked(it)
		}
		if err == nil {
			err = k.credible(it.Pack, stash.Move{At: l.At, Reading: l.reading()})
		}
		if err != nil {
			bad = append(bad, lineError{l.place, err})
		}
		reads = append(reads, l.stockReading)
	}
	if len(bad) > 0 {
		k.noteAllOff(room, reads)
	}
	return reads, k.allBad(bad)
}

// noteAllOff asks about readings that are all off in one way.
func (k *call) noteAllOff(room *show.Stockroom, reads []stockReading) {
	var all []stash.Counted
	for _, c := range reads {
		if p := room.Items[c.ID].Pack; p.Known && p.Held > 0 {
			all = append(all, stash.Counted{Expected: p.Held, Read: p.NetOf(c.reading())})
		}
	}
	if why := stash.AllOff(all, k.units); why != "" {
		k.note("%s", why)
	}
}

// allBad is one refusal of everything that is wrong with a list. What is wrong with several
// lines in the same way is said once.
func (k *call) allBad(bad []lineError) error {
	switch len(bad) {
	case 0:
		return nil
	case 1:
		return bad[0]
	}
	same := map[string][]int{}
	for _, e := range bad {
		same[e.err.Error()] = append(same[e.err.Error()], e.number)
	}
	for _, e := range bad {
		lines := same[e.err.Error()]
		if lines == nil {
			continue
		}
		delete(same, e.err.Error())
		k.note("%v", e)
		if len(lines) > 1 {
			k.note("  the same in %s", measure.LineWords(lines[1:]))
		}
	}
	e := stash.Refuse(stash.CodeInput, "Mend them and give the command again.",
		"%d lines cannot be taken; nothing was recorded.", len(bad))
	if allSlips(bad) {
		e.Cause = stash.Insist(insistOption)
	}
	return e
}
