package sqlite

import (
	"database/sql"
	"encoding/json"
	"strings"

	"endsmeet/stash"
)

// named is what a record can be called by.
type named struct {
	id, tag, name, parent string
	live                  bool
}

// FindPackages finds the packages that a person may mean: one by its tag, its
// id or the beginning of either, or all packages of a yarn by the yarn's name.
// Retired ones only where nothing else fits. None found is an error.
func (tx *Tx) FindPackages(query string) ([]stash.PackageID, error) {
	all, err := tx.named(stash.WhatPackage)
	if err != nil {
		return nil, err
	}
	yarns, err := tx.named(stash.WhatYarn)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, y := range yarns {
		names[y.id] = y.name
	}
	for i := range all {
		all[i].name = strings.TrimSpace(names[all[i].parent])
	}
	hits := match(query, all)
	if len(all) == 0 {
		return nil, stash.Refuse(stash.CodeUnknown, "begin with `endsmeet receive NAME --net WEIGHT`, or look at `endsmeet demo`", "the stash is empty: there is no %q", stash.Clean(query))
	}
	if len(hits) == 0 {
		return nil, stash.Missing(stash.WhatPackage, query, calledThat(all)...)
	}
	ids := make([]stash.PackageID, len(hits))
	for i, h := range hits {
		ids[i] = stash.PackageID(h.id)
	}
	return ids, nil
}

// FindPackage finds the one package that a person means. Several is an error
// that lists them.
func (tx *Tx) FindPackage(query string) (stash.Package, error) {
	ids, err := tx.FindPackages(query)
	if err != nil {
		return stash.Package{}, err
	}
	if len(ids) > 1 {
		return stash.Package{}, tx.choosePackage(query, ids)
	}
	p, _, err := tx.Package(ids[0])
	return p, err
}

func (tx *Tx) choosePackage(query string, ids []stash.PackageID) error {
	var choices []stash.Choice
	for _, id := range ids {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		y, _, err := tx.Yarn(p.Yarn)
		if err != nil {
			return err
		}
		name := strings.Join(strings.Fields(y.Name+" "+p.Colour+" "+lotWord(p.Lot)), " ")
		choices = append(choices, stash.Choice{ID: string(p.ID), Tag: p.Label(), Name: name})
	}
	return stash.Ambiguous(stash.WhatPackage, query, choices)
}

func lotWord(lot string) string {
	if lot == "" {
		return ""
	}
	return "lot " + lot
}

// FindYarn, FindProject, FindPiece and FindPerson find the one record that a
// person means by its name, its id or the beginning of either.
func (tx *Tx) FindYarn(query string) (stash.Yarn, error) {
	id, err := tx.findOne(stash.WhatYarn, query)
	if err != nil {
		return stash.Yarn{}, err
	}
	y, _, err := tx.Yarn(stash.YarnID(id))
	return y, err
}

// FindProject finds a project; see FindYarn.
func (tx *Tx) FindProject(query string) (stash.Project, error) {
	id, err := tx.findOne(stash.WhatProject, query)
	if err != nil {
		return stash.Project{}, err
	}
	b, _, err := tx.Project(stash.ProjectID(id))
	return b, err
}

// FindPiece finds a piece; see FindYarn. The name of a project will do where
// one piece of it is open, or only one was ever made.
func (tx *Tx) FindPiece(query string) (stash.Piece, error) {
	id, err := tx.findOne(stash.WhatPiece, query)
	if err != nil {
		return stash.Piece{}, err
	}
	p, _, err := tx.Piece(stash.PieceID(id))
	return p, err
}

// FindPerson finds a person; see FindYarn.
func (tx *Tx) FindPerson(query string) (stash.Person, error) {
	id, err := tx.findOne(stash.WhatPerson, query)
	if err != nil {
		return stash.Person{}, err
	}
	p, _, err := tx.Person(stash.PersonID(id))
	return p, err
}

func (tx *Tx) findOne(what stash.What, query string) (string, error) {
	all, err := tx.named(what)
	if err != nil {
		return "", err
	}
	hits := match(query, all)
	switch len(hits) {
	case 0:
		if what == stash.WhatPerson { // who is on record is private, and errors end up in logs
			return "", stash.Missing(what, query)
		}
		return "", stash.Missing(what, query, calledThat(all)...)
	case 1:
		return hits[0].id, nil
	}
	var choices []stash.Choice
	for _, h := range hits {
		choices = append(choices, stash.Choice{ID: h.id[:min(6, len(h.id))], Name: h.name})
	}
	return "", stash.Ambiguous(what, query, choices)
}

// named reads what the records of a kind are called.
func (tx *Tx) named(what stash.What) ([]named, error) {
	if err := tx.flush(); err != nil {
		return nil, err
	}
	var out []named
	err := tx.each(`SELECT id, tag, name, parent, live FROM view WHERE what = ? ORDER BY subject`, []any{string(what)}, func(rows *sql.Rows) error {
		var n named
		err := rows.Scan(&n.id, &n.tag, &n.name, &n.parent, &n.live)
		out = append(out, n)
		return err
	})
	return out, err
}

// match gives the records that a query names best: by exact tag, id or name,
// else by the beginning of one, else by words within the name. Within each
// step live ones come before the others.
func match(query string, all []named) []named {
	q := stash.Fold(query)
	if q == "" {
		return nil
	}
	steps := []func(named) bool{
		func(n named) bool { return strings.ToLower(n.tag) == q || n.id == q || n.byLabel(q) },
		func(n named) bool { return stash.Fold(n.name) == q },
		func(n named) bool { return strings.HasPrefix(strings.ToLower(n.tag), q) },
		func(n named) bool { return len(q) >= 3 && strings.HasPrefix(n.id, q) },
		func(n named) bool { return strings.HasPrefix(strings.ToLower(n.name), q) },
		func(n named) bool { return hasWords(strings.ToLower(n.name), q) },
	}
	for _, step := range steps {
		for _, live := range []bool{true, false} {
			if hits := filter(all, func(n named) bool { return n.live == live && step(n) }); len(hits) > 0 {
				return hits
			}
		}
	}
	return nil
}

// byLabel says that a query is the label of one of several packages with one
// tag; see stash.Package.Label.
func (n named) byLabel(q string) bool {
	id, found := strings.CutPrefix(q, strings.ToLower(n.tag)+"/")
	return found && n.tag != "" && len(id) >= 4 && strings.HasPrefix(n.id, id)
}

// calledThat are the tags and names of records, the names of yarns too.
func calledThat(all []named) []string {
	var out []string
	for _, n := range all {
		for _, word := range []string{n.tag, n.name} {
			if word != "" {
				out = append(out, word)
			}
		}
	}
	return out
}

func hasWords(name, query string) bool {
	for word := range strings.FieldsSeq(query) {
		if !strings.Contains(name, word) {
			return false
		}
	}
	return true
}

func filter(all []named, keep func(named) bool) []named {
	var out []named
	for _, n := range all {
		if keep(n) {
			out = append(out, n)
		}
	}
	return out
}

// TagFree refuses fields whose tag another package carries already.
func (tx *Tx) TagFree(fields stash.Fields) error {
	var tag string
	if fields["tag"] == nil || json.Unmarshal(fields["tag"], &tag) != nil || tag == "" {
		return nil
	}
	all, err := tx.named(stash.WhatPackage)
	for _, n := range all {
		if n.live && strings.EqualFold(n.tag, tag) {
			return stash.Refuse(stash.CodeRefused, "choose another", "the tag %s is on another package already", tag)
		}
	}
	return err
}

// Unpromised refuses a package that an open piece counts on.
func (tx *Tx) Unpromised(p stash.Package) error {
	pieces, err := tx.Pieces(true)
	for _, piece := range pieces {
		if piece.Plan == nil {
			continue
		}
		for _, a := range piece.Plan.Allotments {
			if a.Package == p.ID {
				return stash.Refuse(stash.CodeRefused, "finish or abandon that piece first", "%s is promised to %s", p.Label(), piece.Name)
			}
		}
	}
	return err
}
