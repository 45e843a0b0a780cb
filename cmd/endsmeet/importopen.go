package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/ods"
	"endsmeet/importers/xlsx"
	"endsmeet/stash"
)

// openTable opens a table with its columns matched. Closing it removes what was
// unpacked.
func (k *call) openTable(path string) (*importers.Table, io.Closer, error) {
	mapping, err := k.mapping()
	if err != nil {
		return nil, nil, err
	}
	grid, closer, err := openGrid(path, cmp.Or(k.String("sheet"), mapping.Sheet))
	if err != nil {
		return nil, nil, tableError(err)
	}
	table, err := importers.NewTable(grid, importers.Options{Mapping: mapping, Scope: k.String("collection")})
	if err != nil {
		return nil, nil, tableError(errors.Join(err, closer.Close()))
	}
	return table, closer, nil
}

// openGrid opens a file by its extension; all that is no spreadsheet is read as
// text.
func openGrid(path, sheet string) (*importers.Grid, io.Closer, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx", ".xlsm":
		book, err := xlsx.Open(path)
		if err != nil {
			return nil, nil, err
		}
		grid, err := book.Grid(sheet)
		return closing(grid, book, err)
	case ".ods":
		book, err := ods.Open(path)
		if err != nil {
			return nil, nil, err
		}
		grid, err := book.Grid(sheet)
		return closing(grid, book, err)
	}
	if sheet != "" {
		return nil, nil, stash.Refuse(stash.CodeUsage, "leave out --sheet", "%s is no workbook, it has no sheets", stash.Clean(path))
	}
	grid, err := csvfile.Open(path, csvfile.Options{})
	return grid, io.NopCloser(nil), err
}

// closing closes a book whose sheet cannot be had.
func closing(grid *importers.Grid, book io.Closer, err error) (*importers.Grid, io.Closer, error) {
	if err != nil {
		return nil, nil, errors.Join(err, book.Close())
	}
	return grid, book, nil
}

// tableError makes what the readers found wrong a refusal.
func tableError(err error) error {
	var one *importers.Problem
	var all *importers.Problems
	var file *fs.PathError
	if errors.As(err, &file) {
		return unreadable(file.Path, file)
	}
	if !errors.As(err, &one) && !errors.As(err, &all) {
		return err
	}
	e := stash.Refuse(stash.CodeInput, "", "%s", err.Error())
	e.Cause = err
	return e
}

// mapping is how columns are to be read: as saved, and what --map says.
func (k *call) mapping() (importers.Mapping, error) {
	var m importers.Mapping
	if name := k.String("mapping"); name != "" {
		path, err := mappingPath(name)
		if err != nil {
			return m, err
		}
		raw, err := os.ReadFile(path)
		if os.IsNotExist(err) {
			return m, stash.Refuse(stash.CodeUnknown, "save one with --save-mapping", "no mapping is called %q", stash.Clean(name))
		}
		if err == nil {
			err = json.Unmarshal(raw, &m)
		}
		if err != nil {
			return m, stash.Refuse(stash.CodeInput, "save it again with --save-mapping", "the mapping %s cannot be read: %v", path, err)
		}
		m.Reset()
	}
	for _, text := range k.StringSlice("map") {
		if err := m.Add(text); err != nil {
			return m, stash.Refuse(stash.CodeUsage, "", "--map: %v", err)
		}
	}
	return m, nil
}

// saveMapping keeps how a table's columns were read.
func (k *call) saveMapping(t *importers.Table) error {
	name := k.String("save-mapping")
	if name == "" {
		return nil
	}
	path, err := mappingPath(name)
	if err != nil {
		return err
	}
	m := importers.Mapping{Name: name, Sheet: t.Grid.Sheet, Decimal: t.Style.String(), Columns: map[string]importers.Target{}}
	for _, c := range t.Columns {
		if c.Field == "" {
			continue
		}
		target := importers.Target{Field: c.Field, Unit: c.Unit}
		if c.Field == importers.FieldPrice {
			target.Unit = string(c.Basis)
		}
		m.Columns[c.Heading] = target
	}
	m.Reset()
	raw, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	k.note("the mapping is saved as %s", path)
	return os.WriteFile(path, append(raw, '\n'), 0o600)
}

// mappingPath is where the mapping of a name lies.
func mappingPath(name string) (string, error) {
	if name != filepath.Base(name) || strings.HasPrefix(name, ".") || stash.Clean(name) != name {
		return "", stash.Refuse(stash.CodeUsage, "use letters and digits", "%q is no name for a mapping", stash.Clean(name))
	}
	return filepath.Join(xdg.ConfigHome, "endsmeet", "mappings", name+".json"), nil
}
