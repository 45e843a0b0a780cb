package sqlite

import (
	"cmp"
	"strings"

	"endsmeet/stash"
)

// FindPackages finds the packages that a person may mean: one by its tag, its
// id or the beginning of either, or all packages of a yarn by the yarn's name.
// Retired ones only where nothing else fits. None found is an error.
func (tx *Tx) FindPackages(query string) ([]stash.PackageID, error) {
	hits, err := tx.match(stash.WhatPackage, query)
	if err != nil {
		return nil, err
	}
	if len(hits) == 0 {
		return nil, tx.noPackage(query)
	}
	ids := make([]stash.PackageID, len(hits))
	for i, h := range hits {
		ids[i] = stash.PackageID(h.id)
	}
	return ids, nil
}

// HasPackages says whether any package ever came in.
func (tx *Tx) HasPackages() (bool, error) {
	if err := tx.flush(); err != nil {
		return false, err
	}
	var n int64
	return tx.one(`SELECT subject FROM view WHERE what = 'package' LIMIT 1`, nil, &n)
}

// noPackage says that no package is called that.
func (tx *Tx) noPackage(query string) error {
	called, err := tx.calledThat(stash.WhatPackage)
	if err != nil {
		return err
	}
	if len(called) == 0 {
		return stash.Refuse(stash.CodeUnknown,
			"begin with `endsmeet receive NAME --net WEIGHT`, or look at `endsmeet demo`",
			"the stash is empty: there is no %q", stash.Clean(query))
	}
	return stash.Missing(stash.WhatPackage, query, called...)
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
	return foundOne(tx, stash.WhatYarn, query, tx.Yarn)
}

// FindProject finds a project; see FindYarn.
func (tx *Tx) FindProject(query string) (stash.Project, error) {
	return foundOne(tx, stash.WhatProject, query, tx.Project)
}

// FindPiece finds a piece; see FindYarn. The name of a project will do where
// one piece of it is open, or only one was ever made.
func (tx *Tx) FindPiece(query string) (stash.Piece, error) {
	piece, err := foundOne(tx, stash.WhatPiece, query, tx.Piece)
	if stash.CodeOf(err) != stash.CodeUnknown {
		return piece, err
	}
	if b, none := tx.FindProject(query); none == nil {
		err = stash.Refuse(stash.CodeUnknown, "put one on the loom: `"+
			stash.Command("start", b.Name)+"`", "no piece of the project %q was started", b.Name)
	}
	return piece, err
}

// FindPerson finds a person; see FindYarn.
func (tx *Tx) FindPerson(query string) (stash.Person, error) {
	return foundOne(tx, stash.WhatPerson, query, tx.Person)
}

// foundOne finds the one record of a kind that is meant, and reads it.
func foundOne[ID ~string, T any](tx *Tx, what stash.What, query string,
	read func(ID) (T, bool, error)) (T, error) {
	id, err := tx.findOne(what, query)
	if err != nil {
		return *new(T), err
	}
	record, _, err := read(ID(id))
	return record, err
}

func (tx *Tx) findOne(what stash.What, query string) (string, error) {
	hits, err := tx.match(what, query)
	if err != nil {
		return "", err
	}
	switch len(hits) {
	case 0:
		if what == stash.WhatPerson { // who is on record is private, and errors end up in logs
			return "", stash.Missing(what, query)
		}
		called, err := tx.calledThat(what)
		return "", cmp.Or(err, error(stash.Missing(what, query, called...)))
	case 1:
		return hits[0].id, nil
	}
	var choices []stash.Choice
	for _, h := range hits {
		choices = append(choices, stash.Choice{ID: h.id[:min(6, len(h.id))], Name: h.name})
	}
	return "", stash.Ambiguous(what, query, choices)
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
				return stash.Refuse(stash.CodeRefused, "finish or abandon that piece first",
					"%s is promised to %s", p.Label(), piece.Name)
			}
		}
	}
	return err
}
