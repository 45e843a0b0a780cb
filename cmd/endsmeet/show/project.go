package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ProjectItem is the JSON shape of a project in a list.
type ProjectItem struct {
	ID       stash.ProjectID `json:"id"`
	Name     string          `json:"name"`
	Kind     *string         `json:"kind"`
	WidthMm  *measure.Length `json:"width_mm"`
	LengthMm *measure.Length `json:"length_mm"`
	Pieces   []string        `json:"pieces"`
}

// PrintProjects prints the projects, one a line.
func PrintProjects(w io.Writer, items []ProjectItem, units measure.System) {
	if len(items) == 0 {
		fmt.Fprintln(w, "No project yet. Add one: endsmeet project add NAME")
		return
	}
	t := NewTable("project", "kind", "finished size", "pieces")
	for _, it := range items {
		kind, size := "", ""
		if it.Kind != nil {
			kind = *it.Kind
		}
		if it.WidthMm != nil && it.LengthMm != nil {
			size = it.WidthMm.Cloth(units) + " × " + it.LengthMm.Cloth(units)
		}
		t.Add(it.Name, kind, size, strings.Join(it.Pieces, ", "))
	}
	t.Print(w)
}
