package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

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
	a := &archive{call: k, tx: tx, file: events, lanes: map[stash.Lane]*archiveLane{}}
	if err := importers.CheckFile(events, 0); err != nil {
		return tableError(err)
	}
	if err := a.readFile(); err != nil {
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
	r := show.FolderReport{Folder: folder, Yarns: len(s.Yarns), Packages: len(s.Packages),
		Projects: len(s.Projects), People: len(s.People), Events: a.read, DryRun: k.Bool("dry-run")}
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

// recordPeople records everybody whose name is not taken.
func (im *folderImport) recordPeople(s *tables.Stash) error {
	known, err := im.tx.Everybody()
	if err != nil {
		return err
	}
	byName := map[string]stash.PersonID{}
	for _, p := range known {
		byName[strings.ToLower(p.Name)] = p.ID
	}
	for _, p := range s.People {
		name := strings.ToLower(unquoted(p.Facts["name"]))
		if id, taken := byName[name]; taken {
			im.people[p.ID] = id
			continue
		}
		id := im.tx.NewID()
		im.people[p.ID], byName[name] = stash.PersonID(id), stash.PersonID(id)
		im.report.People++
		if _, err := im.tx.Record(stash.Draft{Kind: stash.KindPerson, Of: id, Private: true,
			Body: stash.Set{What: stash.WhatPerson, Fields: p.Facts}}); err != nil {
			return err
		}
	}
	return nil
}

// moveRecipient makes the person of a project the one recorded here. A project for
// somebody who is in no table is for nobody yet, which is told.
func (im *folderImport) moveRecipient(facts stash.Fields) error {
	if facts["for"] == nil {
		return nil
	}
	id, ok := im.people[stash.PersonID(unquoted(facts["for"]))]
	if !ok {
		delete(facts, "for")
		im.note("the project %s was for somebody who is not in people.csv: `endsmeet project set` says for whom", unquoted(facts["name"]))
		return nil
	}
	raw, err := json.Marshal(id)
	facts["for"] = raw
	return err
}
