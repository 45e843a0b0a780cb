package recording

import (
	"encoding/json"
	"strings"

	"endsmeet/importers/tables"
	"endsmeet/stash"
)

// recordPeople records everybody whose name is not taken.
func (im *intoStash) recordPeople(s *tables.Stash) error {
	known, err := im.tx.Everybody()
	if err != nil {
		return err
	}
	byName := map[string]stash.PersonID{}
	for _, p := range known {
		byName[strings.ToLower(p.Name)] = p.ID
	}
	for _, p := range s.People {
		name := strings.ToLower(p.Facts.Text("name"))
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
func (im *intoStash) moveRecipient(facts stash.Fields) error {
	if facts["for"] == nil {
		return nil
	}
	id, ok := im.people[stash.PersonID(facts.Text("for"))]
	if !ok {
		delete(facts, "for")
		im.told.Note("the project %s was for somebody who is not in people.csv: `endsmeet project set` says for whom", facts.Text("name"))
		return nil
	}
	raw, err := json.Marshal(id)
	facts["for"] = raw
	return err
}
