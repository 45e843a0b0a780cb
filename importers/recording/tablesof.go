package recording

import (
	"slices"

	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// TablesOf makes the tables of a stash, all but the events; with what is private if asked
// for. It asks for the row of each item.
func TablesOf(tx *sqlite.Tx, private bool, row func(stash.Package) tables.Item) ([]tables.Table, error) {
	settings, err := tx.Facts(stash.SettingsSubject)
	if err != nil {
		return nil, err
	}
	all, err := tx.Yarns()
	yarns, err := recordsOf(tx, all, err, func(y stash.Yarn) stash.YarnID { return y.ID })
	if err != nil {
		return nil, err
	}
	projects, pieces, err := projectTables(tx, private)
	if err != nil {
		return nil, err
	}
	out := []tables.Table{tables.Settings(settings.Shown()), tables.Yarns(yarns), itemTable(tx, row),
		projects, pieces}
	if !private {
		return out, nil
	}
	everybody, err := tx.Everybody()
	everybody = slices.DeleteFunc(everybody, func(p stash.Person) bool { return p.Name == "" })
	people, err := recordsOf(tx, everybody, err, func(p stash.Person) stash.PersonID { return p.ID })
	return append(out, tables.People(people)), err
}

// recordsOf are what was just read, unless that failed, with the facts that stand.
func recordsOf[T any, ID ~string](tx *sqlite.Tx, all []T, err error,
	id func(T) ID) ([]tables.Record[ID], error) {
	var out []tables.Record[ID]
	for _, one := range all {
		if err != nil {
			break
		}
		var facts stash.Facts
		facts, err = tx.Facts(stash.Subject(id(one)))
		out = append(out, tables.Record[ID]{ID: id(one), Facts: facts.Shown()})
	}
	return out, err
}

func itemTable(tx *sqlite.Tx, row func(stash.Package) tables.Item) tables.Table {
	return tables.Packages(func(tell func(tables.Item) error) error {
		return tx.EachPackage(false, func(p stash.Package) error {
			if p.Yarn == "" {
				return nil // its coming was undone
			}
			return tell(row(p))
		})
	})
}

func projectTables(tx *sqlite.Tx, private bool) (projects, pieces tables.Table, err error) {
	all, err := tx.Projects()
	records, err := recordsOf(tx, all, err, func(b stash.Project) stash.ProjectID { return b.ID })
	if err != nil {
		return projects, pieces, err
	}
	if projects = tables.Projects(records); private {
		projects.For(records)
	}
	names := map[stash.ProjectID]string{}
	for _, b := range all {
		names[b.ID] = b.Name
	}
	woven, err := tx.Pieces(false)
	return projects, tables.Pieces(woven, names), err
}
