package show

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"endsmeet/stash"
)

// ownRows are the facts of a yarn or a package that `show` has a row or a key of
// its own for; every other fact of the table is shown as it would be typed.
var ownRows = []string{
	"name", "fibre", "count", "construction", "fit", "shedding", "stretch", "shrinks", "wash",
	"bleeds", "odour", "hazards", "putup",
	"yarn", "tag", "form", "lot", "colour", "bin", "acquired", "price", "source", "note", "tare",
	"longest", "knots", "quarantine", "reserve",
}

// OtherFacts are facts by their names, in the order of the table.
type OtherFacts map[string]string

// OthersOf gives the facts of a record that have no row of their own.
func OthersOf(what stash.What, record any) OtherFacts {
	out := OtherFacts{}
	raw, err := json.Marshal(record)
	stated := stash.Fields{}
	if err != nil || json.Unmarshal(raw, &stated) != nil {
		return out
	}
	for _, f := range stash.FieldsOf(what) {
		if text := stash.ValueText(what, f.Name, stated[f.Name]); text != "" &&
			!slices.Contains(ownRows, f.Name) {
			out[f.Name] = text
		}
	}
	return out
}

// printOtherFacts prints them a row each.
func printOtherFacts(w io.Writer, facts OtherFacts) {
	for _, what := range []stash.What{stash.WhatPackage, stash.WhatYarn} {
		for _, f := range stash.FieldsOf(what) {
			if text := facts[f.Name]; text != "" {
				fmt.Fprintf(w, "  %-12s %s\n", f.Name, stash.Clean(text))
			}
		}
	}
}
