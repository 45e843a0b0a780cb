package recording

import (
	"encoding/json"
	"fmt"
	"strings"

	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// intoStash is one run over the tables of a stash.
type intoStash struct {
	tx     *sqlite.Tx
	told   Told
	yarns  map[stash.YarnID]stash.YarnID
	packs  map[stash.PackageID]stash.PackageID
	people map[stash.PersonID]stash.PersonID
	report TablesReport
}

// StashTables records what the tables of another stash hold and this one does not. The
// records get new ids: two machines that take in the same tables and sync must not end
// with one package that came twice.
func StashTables(tx *sqlite.Tx, s *tables.Stash, told Told) (TablesReport, error) {
	im := &intoStash{tx: tx, told: told, yarns: map[stash.YarnID]stash.YarnID{},
		packs: map[stash.PackageID]stash.PackageID{}, people: map[stash.PersonID]stash.PersonID{}}
	for _, part := range []func(*tables.Stash) error{im.recordSettings, im.recordPeople,
		im.recordYarns, im.recordPackages, im.recordProjects} {
		if err := part(s); err != nil {
			return im.report, err
		}
	}
	return im.report, nil
}

// recordSettings sets what has not been set here.
func (im *intoStash) recordSettings(s *tables.Stash) error {
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
	return im.tx.SetFacts(stash.WhatSettings, stash.SettingsSubject, fields)
}

// recordYarns finds each yarn here, as itself or by its name and facts, or records
// it.
func (im *intoStash) recordYarns(s *tables.Stash) error {
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
func (im *intoStash) recordYarn(y tables.Yarn, byName map[string]stash.Yarn) (stash.YarnID,
	error) {
	name := y.Facts.Text("name")
	for n := 2; ; n++ {
		here, taken := byName[strings.ToLower(name)]
		if !taken {
			break
		}
		same, err := im.sameFacts(here.ID, y.Facts)
		if err != nil || same {
			return here.ID, err
		}
		name = fmt.Sprintf("%s (%d)", y.Facts.Text("name"), n)
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
func (im *intoStash) sameFacts(id stash.YarnID, fields stash.Fields) (bool, error) {
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
func (im *intoStash) recordPackages(s *tables.Stash) error {
	tags, err := tagsOf(im.tx)
	if err != nil {
		return err
	}
	bar := im.told.Progress("import", len(s.Packages))
	defer bar.Done()
	for _, p := range s.Packages {
		bar.Step()
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

func (im *intoStash) recordPackage(p tables.Package, row stash.Row, tags tagSet) error {
	var err error
	if p.Fields["yarn"], err = json.Marshal(im.yarns[p.Yarn]); err != nil {
		return err
	}
	if p.Fields["row"], err = json.Marshal(row); err != nil {
		return err
	}
	if tag := p.Fields.Text("tag"); tag != "" && p.Retired.IsZero() && !tags.claim(tag) {
		delete(p.Fields, "tag")
		im.told.Note("the tag %s is on another item already; the one of items.csv line %d was recorded without", tag, p.Line)
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
func (im *intoStash) fate(id stash.PackageID, p tables.Package) error {
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
func (im *intoStash) recordProjects(s *tables.Stash) error {
	known, err := im.tx.Projects()
	if err != nil {
		return err
	}
	taken := map[string]bool{}
	for _, b := range known {
		taken[strings.ToLower(b.Name)] = true
	}
	for _, b := range s.Projects {
		name := strings.ToLower(b.Facts.Text("name"))
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
func (im *intoStash) moveRefs(facts stash.Fields, field string) error {
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
