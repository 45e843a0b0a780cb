package sqlite

import (
	"database/sql"
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// writeView holds a view to be written, and the row that a package came from.
func (tx *Tx) writeView(j *foldJob) error {
	k := keysOf(j.state)
	views := &tx.held.views
	views.add(j.n, string(j.what), string(j.id), k.tag, k.name, k.parent, k.live, k.word, k.held, j.raw)
	if p, ok := j.state.(*stash.Package); ok && p.Row != nil {
		tx.holdRow(j.n, *p.Row)
	}
	if !views.full() {
		return nil
	}
	return tx.insertHeld()
}

// keys is what a view is found by; word is its tag or name as it is compared. What a
// package holds stands there for other programs, null where nobody knows.
type keys struct {
	tag, name, parent string
	live              bool
	word              string
	held              sql.NullInt64
}

// keysOf takes the keys of a state.
func keysOf(state any) keys {
	k := statedKeys(state)
	k.word = stash.Fold(k.tag + k.name)
	return k
}

// statedKeys are the keys that a state says. A subject all of whose events were
// undone has no name and is not live.
func statedKeys(state any) keys {
	switch s := state.(type) {
	case *stash.Package:
		k := keys{tag: s.Tag, parent: string(s.Yarn), live: !s.Retired && s.Yarn != ""}
		if s.Known {
			k.held = sql.NullInt64{Int64: int64(s.Held), Valid: true}
		}
		return k
	case *stash.Yarn:
		return keys{name: s.Name, live: s.Name != ""}
	case *stash.Project:
		return keys{name: s.Name, live: s.Name != ""}
	case *stash.Piece:
		return keys{name: s.Name, parent: string(s.Project), live: s.Open()}
	case *stash.Person:
		return keys{name: s.Name, live: s.Name != "" && !s.Gone}
	case *stash.Photo:
		return keys{parent: string(s.Thing), live: s.Thing != ""}
	}
	return keys{}
}

// load reads every view of a kind, folded up to date, in the order in which
// the subjects were first heard of. Only live ones where live is true.
func load[T any](tx *Tx, what stash.What, live bool) (out []T, err error) {
	err = batchesWhere(tx, func(batch []T) error {
		out = append(out, batch...)
		return nil
	}, ofKind(live), string(what))
	return out, err
}

// ofKind is the condition for views of a kind: all, or the live ones.
func ofKind(live bool) string {
	if live {
		return `what = ? AND live = 1`
	}
	return `what = ?`
}

// batchesWhere tells of the views for which a condition holds, some at a time.
func batchesWhere[T any](tx *Tx, tell func([]T) error, condition string, args ...any) error {
	if err := tx.flush(); err != nil {
		return err
	}
	d := decoding[T]{tell: tell}
	err := tx.each(`SELECT `+viewColumns+` WHERE `+condition+` ORDER BY v.subject`, args,
		func(rows *sql.Rows) error {
			s, err := scanView(rows)
			if err != nil {
				return err
			}
			return d.add(s)
		})
	if err != nil {
		return err
	}
	return d.finish()
}

// get reads one view, folded up to date; found is false where there is none.
func get[T any](tx *Tx, id stash.Subject) (state T, found bool, err error) {
	var n int64
	if found, err = tx.one(`SELECT n FROM subject WHERE id = ?`, []any{string(id)},
		&n); err != nil || !found {
		return state, false, err
	}
	v, err := tx.entry(n, id, false)
	if err != nil {
		return state, false, err
	}
	if err := tx.resolve(n, v); err != nil {
		return state, false, err
	}
	s, ok := v.state.(*T)
	if !ok {
		return state, false, nil
	}
	return *s, true, nil
}

// Packages reads the packages without their rows: all, or those that are not retired.
func (tx *Tx) Packages(live bool) ([]stash.Package, error) {
	n := 0 // room for all at once
	if _, err := tx.one(`SELECT count(*) FROM view WHERE what = ?`,
		[]any{string(stash.WhatPackage)}, &n); err != nil {
		return nil, err
	}
	packages := make([]stash.Package, 0, n)
	err := tx.EachPackage(live, into(&packages))
	return packages, err
}

// into puts packages into a slice, without the row that each came from: it is as long as
// all the rest, and who asks for it asks for one package or for one after the other.
func into(packages *[]stash.Package) func(stash.Package) error {
	return func(p stash.Package) error {
		p.Row = nil
		*packages = append(*packages, p)
		return nil
	}
}

// EachPackage tells of the packages one after the other, so that
// nobody holds them all: all, or those that are not retired.
func (tx *Tx) EachPackage(live bool, tell func(stash.Package) error) error {
	return tx.eachPackageWhere(tell, ofKind(live), string(stash.WhatPackage))
}

// eachPackageWhere is EachPackage for the packages for which a condition holds.
func (tx *Tx) eachPackageWhere(tell func(stash.Package) error, condition string,
	args ...any) error {
	twice, err := tx.tagsTwice()
	if err != nil {
		return err
	}
	return batchesWhere(tx, func(batch []stash.Package) error {
		for _, p := range batch {
			p.Namesake = twice.has(p)
			if err := tell(p); err != nil {
				return err
			}
		}
		return nil
	}, condition, args...)
}

// PackagesOf reads the packages of a yarn that are not retired.
func (tx *Tx) PackagesOf(yarn stash.YarnID) (packages []stash.Package, err error) {
	err = tx.eachPackageWhere(into(&packages),
		`parent = ? AND parent != '' AND +what = ? AND +live = 1`,
		string(yarn), string(stash.WhatPackage))
	return packages, err
}

// PackagesIn reads the packages that gave yarn to a piece.
func (tx *Tx) PackagesIn(piece stash.PieceID) (packages []stash.Package, err error) {
	err = tx.eachPackageWhere(func(p stash.Package) error {
		if p.UsedIn[piece] != 0 {
			packages = append(packages, p)
		}
		return nil
	}, `v.what = ? AND instr(v.state, CAST(? AS BLOB)) > 0`, string(stash.WhatPackage), string(piece))
	return packages, err
}

// PackagesAmong reads all packages of some yarns and some others, in the order of
// Packages.
func (tx *Tx) PackagesAmong(yarns []stash.YarnID,
	others []stash.PackageID) (packages []stash.Package, err error) {
	of, err := json.Marshal(yarns)
	if err != nil {
		return nil, err
	}
	ids, err := json.Marshal(others)
	if err != nil {
		return nil, err
	}
	err = tx.eachPackageWhere(into(&packages), `v.subject IN (
		SELECT v.subject FROM json_each(?) y JOIN view v ON v.parent = y.value
			WHERE v.parent != '' AND +v.what = ?
		UNION SELECT s.n FROM json_each(?) p JOIN subject s ON s.id = p.value)`,
		string(of), string(stash.WhatPackage), string(ids))
	return packages, err
}

// Yarns reads the yarns.
func (tx *Tx) Yarns() ([]stash.Yarn, error) { return load[stash.Yarn](tx, stash.WhatYarn, true) }

// YarnsByID reads the yarns into a map.
func (tx *Tx) YarnsByID() (map[stash.YarnID]stash.Yarn, error) {
	yarns, err := load[stash.Yarn](tx, stash.WhatYarn, false)
	byID := make(map[stash.YarnID]stash.Yarn, len(yarns))
	for _, y := range yarns {
		byID[y.ID] = y
	}
	return byID, err
}

// Projects reads the projects.
func (tx *Tx) Projects() ([]stash.Project, error) {
	return load[stash.Project](tx, stash.WhatProject, true)
}

// Pieces reads the pieces: all, or those that are planned or on the loom.
func (tx *Tx) Pieces(open bool) ([]stash.Piece, error) {
	return load[stash.Piece](tx, stash.WhatPiece, open)
}

// People reads the people.
func (tx *Tx) People() ([]stash.Person, error) {
	return load[stash.Person](tx, stash.WhatPerson, true)
}

// Everybody reads the people, those who are gone too.
func (tx *Tx) Everybody() ([]stash.Person, error) {
	return load[stash.Person](tx, stash.WhatPerson, false)
}

// Package reads one package.
func (tx *Tx) Package(id stash.PackageID) (stash.Package, bool, error) {
	p, found, err := get[stash.Package](tx, stash.Subject(id))
	if err == nil && found {
		p.Namesake, err = tx.hasNamesake(p)
	}
	return p, found, err
}

// Yarn reads one yarn.
func (tx *Tx) Yarn(id stash.YarnID) (stash.Yarn, bool, error) {
	return get[stash.Yarn](tx, stash.Subject(id))
}

// Project reads one project.
func (tx *Tx) Project(id stash.ProjectID) (stash.Project, bool, error) {
	return get[stash.Project](tx, stash.Subject(id))
}

// Piece reads one piece.
func (tx *Tx) Piece(id stash.PieceID) (stash.Piece, bool, error) {
	return get[stash.Piece](tx, stash.Subject(id))
}

// Person reads one person.
func (tx *Tx) Person(id stash.PersonID) (stash.Person, bool, error) {
	return get[stash.Person](tx, stash.Subject(id))
}

// Settings reads the settings, the defaults where none are stated.
func (tx *Tx) Settings() (stash.Settings, error) {
	shown, _, err := get[stash.Fields](tx, stash.SettingsSubject)
	return stash.SettingsOf(shown), err
}

// Facts reads the values of a subject's fields with all that stand beside
// each other.
func (tx *Tx) Facts(id stash.Subject) (stash.Facts, error) {
	var n int64
	found, err := tx.one(`SELECT n FROM subject WHERE id = ?`, []any{string(id)}, &n)
	if err != nil || !found {
		return stash.Facts{}, err
	}
	events, err := tx.eventsOf(n, stash.ClassFact)
	return stash.FoldFacts(id, events, tx), err
}

// Claims sums what open pieces have been promised of each package, less what
// a weighing has already debited to them.
func (tx *Tx) Claims() (map[stash.PackageID]measure.Mass, error) {
	pieces, err := tx.Pieces(true)
	if err != nil {
		return nil, err
	}
	claims := map[stash.PackageID]measure.Mass{}
	for _, piece := range pieces {
		if err := tx.claim(piece, claims); err != nil {
			return nil, err
		}
	}
	return claims, nil
}

func (tx *Tx) claim(piece stash.Piece, claims map[stash.PackageID]measure.Mass) error {
	if piece.Plan == nil {
		return nil
	}
	for _, a := range piece.Plan.Promised() {
		p, found, err := tx.Package(a.Package)
		if err != nil {
			return err
		}
		if found {
			claims[a.Package] += max(0, a.Mass-p.UsedIn[piece.ID])
		}
	}
	return nil
}
