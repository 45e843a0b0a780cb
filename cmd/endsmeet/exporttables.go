package main

import (
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/gocarina/gocsv"

	"endsmeet/importers/recording"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// stashTables makes the tables of a stash, all but the events; with what is
// private if asked for.
func stashTables(tx *sqlite.Tx, private bool) ([]tables.Table, error) {
	s, err := newShelf(tx)
	if err != nil {
		return nil, err
	}
	return recording.TablesOf(tx, private, func(p stash.Package) tables.Item {
		row := tables.Item{Package: p, Yarn: s.recorded[p.Yarn].Name}
		if it := s.item(p); it.LengthMm != nil {
			row.Length = *it.LengthMm
		}
		return row
	})
}

// exportFolder writes the tables as CSV, a file each, into a folder that is new
// or empty.
func exportFolder(k *call, folder string) error {
	if folder == "" {
		return stash.Refuse(stash.CodeUsage, "write --csv FOLDER", "the folder has no name")
	}
	if entries, err := os.ReadDir(folder); err == nil && len(entries) > 0 {
		return stash.Refuse(stash.CodeRefused, "name another, nothing is written over",
			"the folder %s is not empty", stash.Clean(folder))
	}
	count := 0
	err := wholeFolder(folder, func(dir string) error {
		return k.view(func(tx *sqlite.Tx) error {
			var err error
			count, err = k.writeTables(tx, dir)
			return err
		})
	})
	if err == nil {
		k.note("%s written into %s", measure.Counted(count, "table"), folder)
	}
	return err
}

// writeTables writes all tables and the events into a folder, and counts them.
func (k *call) writeTables(tx *sqlite.Tx, dir string) (int, error) {
	all, err := stashTables(tx, k.Bool("with-private"))
	if err != nil {
		return 0, err
	}
	for _, t := range all {
		if err := streamNew(filepath.Join(dir, t.Name+".csv"),
			func(w io.Writer) error { return writeCSV(w, t) }); err != nil {
			return 0, err
		}
	}
	err = streamNew(filepath.Join(dir, "events.csv"),
		func(w io.Writer) error { return k.writeEventTable(tx, w) })
	return len(all) + 1, errors.Join(err, writePictures(tx, filepath.Join(dir, picturesFolder)))
}

// writeCSV writes a table as RFC 4180 has it, but with plain line feeds.
func writeCSV(w io.Writer, t tables.Table) error {
	out := gocsv.NewSafeCSVWriter(csv.NewWriter(w))
	if err := t.Guarded(out.Write); err != nil {
		return err
	}
	out.Flush()
	return out.Error()
}

// writeEventTable writes every event verbatim.
func (k *call) writeEventTable(tx *sqlite.Tx, w io.Writer) error {
	known, err := tx.Lanes()
	if err != nil {
		return err
	}
	lanes := map[stash.Lane]sqlite.Lane{}
	for _, l := range known {
		lanes[l.Name] = l
	}
	out := gocsv.NewSafeCSVWriter(csv.NewWriter(w))
	if err := out.Write(tables.EventHead); err != nil {
		return err
	}
	bar := k.counting("export", -1)
	defer bar.Done()
	err = tx.Events(k.Bool("with-private"), func(e stash.Event) error {
		bar.Step()
		var err error
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			return err
		}
		l := lanes[e.Lane]
		row := tables.EventRow(e, l.Private, l.Key)
		if len(l.Key) > 0 { // told once
			l.Key = nil
			lanes[e.Lane] = l
		}
		for i := range row {
			row[i] = tables.Guard(row[i])
		}
		return out.Write(row)
	})
	out.Flush()
	return errors.Join(err, out.Error())
}
