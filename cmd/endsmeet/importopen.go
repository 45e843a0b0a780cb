package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/adrg/xdg"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/stash"
	"endsmeet/stash/written"
)

// openTable opens a table of yarns, or of readings of a scale, with its columns
// matched: in a workbook that is open, else in the text at the path.
func (k *call) openTable(path string, book workbook, o importers.Options) (*importers.Table, error) {
	mapping, err := k.mapping()
	if err != nil {
		return nil, err
	}
	style := written.ParseStyle(k.String("decimal"))
	if k.IsSet("decimal") && style == written.StyleUnknown {
		return nil, stash.Refuse(stash.CodeUsage, "--decimal comma or --decimal point",
			"%q is no way to write decimals", stash.Clean(k.String("decimal")))
	}
	text, err := k.textOptions()
	if err != nil {
		return nil, err
	}
	grid, err := openGrid(path, book, cmp.Or(k.String("sheet"), mapping.Sheet), text)
	if err != nil {
		return nil, tableError(err)
	}
	o.Mapping, o.Scope, o.Style, o.Habit = mapping, k.String("collection"), style, k.decimals
	if book != nil {
		k.noteUnread(book, "--sheet NAME reads another", grid.Sheet)
	}
	table, err := importers.NewTable(grid, o)
	return table, tableError(err)
}

// textOptions are encoding and delimiter of a text, where they are given.
func (k *call) textOptions() (csvfile.Options, error) {
	o := csvfile.Options{}
	if name := k.String("encoding"); name != "" {
		i := slices.IndexFunc(csvfile.Encodings(),
			func(known string) bool { return strings.EqualFold(known, name) })
		if i < 0 {
			return o, stash.Refuse(stash.CodeUsage, "one of "+strings.Join(csvfile.Encodings(),
				", "), "no encoding is called %q", stash.Clean(name))
		}
		o.Encoding = csvfile.Encodings()[i]
	}
	if sign := k.String("delimiter"); sign != "" {
		if o.Delimiter = csvfile.ParseDelimiter(sign); o.Delimiter == 0 {
			return o, stash.Refuse(stash.CodeUsage, `comma, semicolon, tab, or a sign such as "|"`,
				"%q cannot divide cells", stash.Clean(sign))
		}
	}
	return o, nil
}

// openGrid is a sheet of a workbook, else the text at the path.
func openGrid(path string, book workbook, sheet string, text csvfile.Options) (*importers.Grid,
	error) {
	switch {
	case book != nil:
		return book.Grid(sheet)
	case sheet != "":
		return nil, stash.Refuse(stash.CodeUsage, "leave out --sheet",
			"%s is no workbook, it has no sheets", stash.Clean(path))
	}
	return csvfile.Open(path, text)
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
			return m, stash.Refuse(stash.CodeUnknown, "save one with --save-mapping",
				"no mapping is called %q", stash.Clean(name))
		}
		if err == nil {
			err = json.Unmarshal(raw, &m)
		}
		if err != nil {
			return m, stash.Refuse(stash.CodeInput, "save it again with --save-mapping",
				"the mapping %s cannot be read: %v", path, err)
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

// saveMapping keeps how a table's columns were read, before a row of it comes
// in: where it cannot be kept, nothing does.
func (k *call) saveMapping(t *importers.Table) error {
	name := k.String("save-mapping")
	if name == "" {
		return nil
	}
	path, err := mappingPath(name)
	if err != nil {
		return err
	}
	m := importers.Mapping{Name: name, Sheet: t.Grid.Sheet, Decimal: t.Style.String(),
		Columns: map[string]importers.Target{}}
	for _, c := range t.Columns {
		if c.Field == "" {
			continue
		}
		m.Columns[c.Heading] = c.Target()
	}
	m.Reset()
	raw, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return show.Unwritable(path, err)
	}
	if err := writeNew(path, append(raw, '\n'), true); err != nil {
		return err
	}
	k.note("the mapping is saved as %s", path)
	return nil
}

// mappingPath is where the mapping of a name lies.
func mappingPath(name string) (string, error) {
	if name != filepath.Base(name) || strings.HasPrefix(name, ".") || stash.Clean(name) != name {
		return "", stash.Refuse(stash.CodeUsage, "use letters and digits",
			"%q is no name for a mapping", stash.Clean(name))
	}
	return filepath.Join(xdg.ConfigHome, "endsmeet", "mappings", name+".json"), nil
}
