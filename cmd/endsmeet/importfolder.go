package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/recording"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// isExport says whether a file is one of the tables that `export --csv` writes
// and `import` reads back.
func isExport(path string) bool {
	return slices.ContainsFunc(tables.Kinds, func(kind string) bool { return isTable(path, kind) })
}

// isTable says whether a file is the table of a kind, by its name and its first
// heading.
func isTable(path, kind string) bool {
	if !strings.EqualFold(filepath.Base(path), kind+".csv") {
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, 64)
	n, _ := io.ReadFull(f, head)
	text := strings.TrimLeft(strings.TrimPrefix(string(head[:n]), "\ufeff"), `"`)
	return strings.HasPrefix(text, tables.HeadOf(kind))
}

// importFolder takes in the tables of another stash, as records of this one.
func importFolder(k *call, folder string) error {
	s, err := readFolder(folder)
	if err != nil {
		return err
	}
	err = k.act(func(tx *sqlite.Tx) error {
		if err := k.replay(tx, folder, s); err != nil {
			return err
		}
		return readPictures(tx, filepath.Join(folder, picturesFolder))
	})
	if !errors.Is(err, errNoReplay) {
		return err
	}
	return importTables(k, folder, s)
}

// readFolder reads the tables that are in a folder; those of packages and yarns
// must be.
func readFolder(folder string) (*tables.Stash, error) {
	return readTables(func(kind string) (*importers.Grid, error) {
		path := filepath.Join(folder, kind+".csv")
		if _, err := os.Stat(path); os.IsNotExist(err) {
			if kind == "yarns" || kind == "items" {
				return nil, stash.Refuse(stash.CodeInput,
					"name a table, or a folder that `endsmeet export --csv` wrote",
					"there is no %s", stash.Clean(path))
			}
			return nil, nil
		}
		return csvfile.Open(path, csvfile.Options{})
	})
}

// readTables reads the tables of a stash, each from where it is opened; nil is
// none of that kind.
func readTables(open func(kind string) (*importers.Grid, error)) (*tables.Stash, error) {
	s := &tables.Stash{}
	var all importers.Problems
	for _, kind := range tables.Kinds {
		grid, err := open(kind)
		if err != nil {
			return nil, tableError(err)
		}
		if grid == nil {
			continue
		}
		err = s.Read(kind, grid)
		if p, ok := err.(*importers.Problems); ok {
			all.List, all.Rows = append(all.List, p.List...), all.Rows+p.Rows
		} else if err != nil {
			return nil, tableError(err)
		}
	}
	bad := recording.Bad{Problems: all}
	return s, bad.Err("")
}

// importTables takes in tables that were read, as records of this stash.
func importTables(k *call, from string, s *tables.Stash) error {
	return k.act(func(tx *sqlite.Tx) error {
		r, err := recording.StashTables(tx, s, k.heardFrom())
		if err != nil {
			return err
		}
		r.Folder, r.DryRun = from, k.Bool("dry-run")
		return k.answer(r, func(w io.Writer) { show.PrintFolder(w, r) })
	})
}

// errNoReplay says that the events beside the tables cannot stand for them.
var errNoReplay = errors.New("the tables come in by themselves")

// replay makes an empty stash the one that was exported, by its events. Where
// the stash is not empty, or the tables say otherwise than the events (somebody
// changed them since), nothing is recorded and the error is errNoReplay.
func (k *call) replay(tx *sqlite.Tx, folder string, s *tables.Stash) error {
	events := filepath.Join(folder, "events.csv")
	if !isTable(events, "events") {
		return errNoReplay
	}
	if err := tx.Events(true, func(stash.Event) error { return errNoReplay }); err != nil {
		return err
	}
	archive, err := recording.Archive(k.ctx, tx, events, k.heardFrom())
	if err != nil {
		return tableError(err)
	}
	same, err := k.sameTables(tx, folder, s)
	if err != nil {
		return err
	}
	if !same {
		k.note("the tables were changed since they were exported: they come in as they stand, without their history")
		return errNoReplay
	}
	r := recording.TablesReport{Folder: folder, Yarns: len(s.Yarns), Packages: len(s.Packages),
		Projects: len(s.Projects), People: len(s.People), Events: archive.Events, DryRun: k.Bool("dry-run")}
	return k.answer(r, func(w io.Writer) { show.PrintFolder(w, r) })
}

// sameTables says whether the stash gives the tables that were read.
func (k *call) sameTables(tx *sqlite.Tx, folder string, s *tables.Stash) (bool, error) {
	_, err := os.Stat(filepath.Join(folder, "people.csv"))
	all, tablesErr := stashTables(tx, err == nil)
	if tablesErr != nil {
		return false, tablesErr
	}
	here := &tables.Stash{}
	for _, kind := range tables.Kinds {
		for _, t := range all {
			if t.Name != kind {
				continue
			}
			if err := here.Read(kind, t.Grid()); err != nil {
				return false, err
			}
		}
	}
	var raw [2][]byte
	for i, one := range []*tables.Stash{s, here} {
		if raw[i], err = json.Marshal(one.Lineless()); err != nil {
			return false, err
		}
	}
	return bytes.Equal(raw[0], raw[1]), nil
}
