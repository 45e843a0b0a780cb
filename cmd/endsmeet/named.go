package main

import (
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// meantBy is the one record that a name means; all but one are nil.
type meantBy struct {
	yarn    *stash.Yarn
	pack    *stash.Package
	piece   *stash.Piece
	project *stash.Project
}

// subject and name of what is meant.
func (m meantBy) subject() (stash.Subject, string) {
	switch {
	case m.yarn != nil:
		return stash.Subject(m.yarn.ID), m.yarn.Name
	case m.pack != nil:
		return stash.Subject(m.pack.ID), m.pack.Label()
	case m.piece != nil:
		return stash.Subject(m.piece.ID), m.piece.Name
	}
	return stash.Subject(m.project.ID), m.project.Name
}

// findNamed finds what a name means among kinds of records. What it names exactly
// comes before what it only begins, or stands in, whatever kind that is; and the tag that
// all items of a yarn begin with means the yarn.
func findNamed(tx *sqlite.Tx, name string, kinds ...stash.What) (meantBy, error) {
	ordered, err := tx.BestNamed(name, kinds...)
	if err != nil {
		return meantBy{}, err
	}
	var notFound error
	for _, what := range ordered {
		m, err := findAs(tx, what, name)
		if err == nil {
			return m, nil
		}
		if what == stash.WhatPackage || notFound == nil {
			notFound = err
		}
	}
	return meantBy{}, notFound
}

func findAs(tx *sqlite.Tx, what stash.What, name string) (m meantBy, err error) {
	switch what {
	case stash.WhatYarn:
		y, err := tx.FindYarn(name)
		return meantBy{yarn: &y}, err
	case stash.WhatPiece:
		p, err := tx.FindPiece(name)
		return meantBy{piece: &p}, err
	case stash.WhatProject:
		p, err := tx.FindProject(name)
		return meantBy{project: &p}, err
	}
	t := target{name: name}
	ids, err := tx.FindPackages(name)
	if err == nil {
		err = t.fromPackages(tx, ids)
	}
	if err != nil || t.pack != nil {
		return meantBy{pack: t.pack}, err
	}
	return meantBy{yarn: &t.yarn}, t.byPartOfTag(tx, ids)
}

// byPartOfTag refuses a name that is only the beginning of several tags: Y1 of Y15
// and Y16. That of Y15-1 and Y15-2 is Y15.
func (t *target) byPartOfTag(tx *sqlite.Tx, ids []stash.PackageID) error {
	name := stash.Fold(t.name)
	for _, id := range ids {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		if rest, is := strings.CutPrefix(stash.Fold(p.Tag), name); is && !strings.HasPrefix(rest, "-") {
			_, err := tx.FindPackage(t.name)
			return err
		}
	}
	return nil
}
