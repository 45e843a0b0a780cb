package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/csvfile"
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
	run := k.act
	if k.Bool("dry-run") {
		run = k.rehearse
	}
	err = run(func(tx *sqlite.Tx) error {
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
	if err := all.Err(); err != nil {
		return nil, stash.Refuse(stash.CodeInput, "", "%s\n%s", err, badWords(all.Rows))
	}
	return s, nil
}

// folderImport is one run over the tables of a stash. Its records get new ids:
// two machines that take in the same tables and sync must not end with one
// package that came twice.
type folderImport struct {
	*call
	tx     *sqlite.Tx
	yarns  map[stash.YarnID]stash.YarnID
	packs  map[stash.PackageID]stash.PackageID
	people map[stash.PersonID]stash.PersonID
	report show.FolderReport
}

func (im *folderImport) run(s *tables.Stash) error {
	for _, part := range []func(*tables.Stash) error{im.recordSettings, im.recordPeople,
		im.recordYarns, im.recordPackages, im.recordProjects} {
		if err := part(s); err != nil {
			return err
		}
	}
	r := im.report
	return im.answer(r, func(w io.Writer) { show.PrintFolder(w, r) })
}

// recordSettings sets what has not been set here.
func (im *folderImport) recordSettings(s *tables.Stash) error {
	facts, err := im.tx.Facts(stash.SettingsSubject)
	if err != nil {
		return err
	}
	fields := stash.Fields{}
	for name, value := range s.Settings {
		if len(facts[name]) == 0 {
			fields[name] = value
		}
	}
	if len(fields) == 0 {
		return nil
	}
	return im.setFacts(im.tx, stash.WhatSettings, stash.SettingsSubject, fields)
}

// recordYarns finds each yarn here, as itself or by its name and facts, or records
// it.
func (im *folderImport) recordYarns(s *tables.Stash) error {
	known, err := im.tx.Yarns()
	if err != nil {
		return err
	}
	byName := map[string]stash.Yarn{}
	for _, y := range known {
		byName[strings.ToLower(y.Name)] = y
	}
	for _, y := range s.Yarns {
		if here, found, err := im.tx.Yarn(y.ID); err != nil {
			return err
		} else if found && here.Name != "" {
			im.yarns[y.ID] = y.ID
			continue
		}
		id, err := im.recordYarn(y, byName)
		if err != nil {
			return err
		}
		im.yarns[y.ID] = id
	}
	return nil
}

// recordYarn records a yarn. One of the same name that has another fibre or count
// keeps its name, and this one gets a number behind it.
func (im *folderImport) recordYarn(y tables.Yarn, byName map[string]stash.Yarn) (stash.YarnID,
	error) {
	name := unquoted(y.Facts["name"])
	for n := 2; ; n++ {
		here, taken := byName[strings.ToLower(name)]
		if !taken {
			break
		}
		same, err := im.sameFacts(here.ID, y.Facts)
		if err != nil || same {
			return here.ID, err
		}
		name = fmt.Sprintf("%s (%d)", unquoted(y.Facts["name"]), n)
	}
	raw, err := stash.Value(stash.WhatYarn, "name", name)
	if err != nil {
		return "", err
	}
	y.Facts["name"] = raw
	id := im.tx.NewID()
	im.report.Yarns++
	byName[strings.ToLower(name)] = stash.Yarn{ID: stash.YarnID(id)}
	_, err = im.tx.Record(stash.Draft{Kind: stash.KindYarn, Of: id,
		Body: stash.Set{What: stash.WhatYarn, Fields: y.Facts}})
	return stash.YarnID(id), err
}

// sameFacts says whether a yarn here states of its fibre and count what the
// fields do.
func (im *folderImport) sameFacts(id stash.YarnID, fields stash.Fields) (bool, error) {
	facts, err := im.tx.Facts(stash.Subject(id))
	shown := facts.Shown()
	for _, name := range []string{"fibre", "count"} {
		if string(shown[name]) != string(fields[name]) {
			return false, err
		}
	}
	return true, err
}

// recordPackages records every package that is not here yet.
func (im *folderImport) recordPackages(s *tables.Stash) error {
	tags, err := tagsOf(im.tx)
	if err != nil {
		return err
	}
	bar := im.counting("import", len(s.Packages))
	defer bar.done()
	for _, p := range s.Packages {
		bar.step()
		row := rowOf(p)
		here, found, err := im.tx.RowPackage(row.Key)
		if err == nil && !found {
			here, found, err = im.tx.Package(p.ID)
			found = found && here.Yarn != ""
		}
		if err != nil {
			return err
		}
		if found {
			im.report.Unchanged++
			im.packs[p.ID] = here.ID
			continue
		}
		if err := im.recordPackage(p, row, tags); err != nil {
			return err
		}
	}
	return nil
}

// rowOf is what the package remembers of where it came from: the row of the
// sheet that it came from first, or its row in the table.
func rowOf(p tables.Package) stash.Row {
	var row stash.Row
	if p.Fields["row"] == nil || json.Unmarshal(p.Fields["row"], &row) != nil || row.Key == "" {
		row = stash.Row{Key: "export:" + string(p.ID), Content: "-"}
	}
	return row
}

func (im *folderImport) recordPackage(p tables.Package, row stash.Row, tags tagSet) error {
	var err error
	if p.Fields["yarn"], err = json.Marshal(im.yarns[p.Yarn]); err != nil {
		return err
	}
	if p.Fields["row"], err = json.Marshal(row); err != nil {
		return err
	}
	if tag := unquoted(p.Fields["tag"]); tag != "" && p.Retired.IsZero() && !tags.claim(tag) {
		delete(p.Fields, "tag")
		im.note("the tag %s is on another item already; the one of items.csv line %d was recorded without", tag, p.Line)
	}
	id := im.tx.NewID()
	im.packs[p.ID] = stash.PackageID(id)
	im.report.Packages++
	_, err = im.tx.Record(stash.Draft{Kind: stash.KindReceive, Of: id, At: p.Arrived,
		Body: stash.Receive{Fields: p.Fields, Reading: p.Reading}})
	if err != nil {
		return err
	}
	return im.fate(stash.PackageID(id), p)
}

// fate records a loan or a retirement.
func (im *folderImport) fate(id stash.PackageID, p tables.Package) error {
	record := func(draft func(stash.Package) (stash.Draft, error)) error {
		here, _, err := im.tx.Package(id)
		if err != nil {
			return err
		}
		d, err := draft(here)
		if err == nil {
			_, err = im.tx.Record(d)
		}
		return err
	}
	if p.LentTo != "" {
		err := record(func(here stash.Package) (stash.Draft,
			error) {
			return here.Lend(stash.Move{Who: p.LentTo, At: p.Lent})
		})
		if err != nil {
			return err
		}
	}
	if p.Retired.IsZero() {
		return nil
	}
	return record(func(here stash.Package) (stash.Draft, error) {
		return here.Retire(stash.Move{At: p.Retired, Leftover: stash.LeftoverLost})
	})
}

// recordProjects records every project whose name is not taken.
func (im *folderImport) recordProjects(s *tables.Stash) error {
	known, err := im.tx.Projects()
	if err != nil {
		return err
	}
	taken := map[string]bool{}
	for _, b := range known {
		taken[strings.ToLower(b.Name)] = true
	}
	for _, b := range s.Projects {
		name := strings.ToLower(unquoted(b.Facts["name"]))
		if taken[name] {
			continue
		}
		taken[name] = true
		if err := im.moveRecipient(b.Facts); err != nil {
			return err
		}
		for _, field := range []string{"warp", "weft", "hemstitch_yarn"} {
			if err := im.moveRefs(b.Facts, field); err != nil {
				return err
			}
		}
		im.report.Projects++
		if _, err := im.tx.Record(stash.Draft{Kind: stash.KindProject, Of: im.tx.NewID(),
			Body: stash.Set{What: stash.WhatProject, Fields: b.Facts}}); err != nil {
			return err
		}
	}
	return nil
}

// moveRefs makes references to records of the tables ones to records here.
func (im *folderImport) moveRefs(facts stash.Fields, field string) error {
	if facts[field] == nil {
		return nil
	}
	var refs []stash.Ref
	if err := json.Unmarshal(facts[field], &refs); err != nil {
		return err
	}
	for i, r := range refs {
		if id, ok := im.packs[r.Package]; ok {
			refs[i].Package = id
		}
		if id, ok := im.yarns[r.Yarn]; ok {
			refs[i].Yarn = id
		}
	}
	raw, err := json.Marshal(refs)
	facts[field] = raw
	return err
}
