package importers

import (
	"fmt"
	"strings"
)

// Sheet is a sheet of a workbook; Part is where a source finds its rows, if that has a name.
type Sheet struct {
	Name, Part string
	Hidden     bool
}

// Sheets are those of a workbook, in its order.
type Sheets []Sheet

// Names lists the names, hidden ones too.
func (all Sheets) Names() []string {
	var names []string
	for _, s := range all {
		names = append(names, s.Name)
	}
	return names
}

// Grid returns a sheet as a grid, whose rows are those of the sheet of that number. With an
// empty name it is the only visible sheet; if there are several, the *Problem lists them.
func (all Sheets) Grid(path, name string, rows func(n int, yield func(Row, error) bool)) (*Grid, error) {
	n, err := all.choose(name)
	if err != nil {
		return nil, Locate(err, path, "")
	}
	g := &Grid{File: path, Sheet: all[n].Name}
	g.Rows = func(yield func(Row, error) bool) { rows(n, yield) }
	return g, nil
}

func (all Sheets) choose(name string) (int, error) {
	var visible []int
	for i, s := range all {
		if name != "" && strings.EqualFold(s.Name, strings.TrimSpace(name)) {
			return i, nil
		}
		if !s.Hidden {
			visible = append(visible, i)
		}
	}
	list := strings.Join(all.Names(), ", ")
	switch {
	case name != "":
		return 0, &Problem{Reason: fmt.Sprintf("has no sheet %q", name), Hint: "its sheets are: " + list}
	case len(visible) != 1:
		return 0, &Problem{Reason: "which of its sheets?", Hint: "name one of: " + list}
	}
	return visible[0], nil
}
