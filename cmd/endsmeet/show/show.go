package show

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Package is the JSON shape of one package.
type Package struct {
	Item
	TareMg     *measure.Mass `json:"tare_mg"`
	TareSource *string       `json:"tare_source"`
	Received   measure.Mass  `json:"received_mg"`
	Used       measure.Mass  `json:"used_mg"`
	Discarded  measure.Mass  `json:"discarded_mg"`
	Given      measure.Mass  `json:"given_mg"`
	WoundIn    measure.Mass  `json:"wound_in_mg"`
	WoundOff   measure.Mass  `json:"wound_off_mg"`
	Unexpl     measure.Mass  `json:"unexplained_mg"`
	PackageNotes
	// Facts are those that no other key tells, as they would be typed.
	Facts    OtherFacts     `json:"facts"`
	Disputed map[string]any `json:"disputed"`
	Events   []PastItem     `json:"events"`

	Photo string `json:"-"`
	// frozen says how to freeze it against insects.
	Frozen []string `json:"-"`
}

// PrintPackage prints a package with all that is known of it.
func PrintPackage(w io.Writer, s Package, units measure.System) {
	it, p := s.Item, s.Pack
	fmt.Fprintln(w, it.Line(units))
	row := func(name, value string) {
		if _, disputed := p.Disputed[fieldOf(name)]; disputed {
			value = stash.Disputed(value)
		}
		if value != "" {
			fmt.Fprintf(w, "  %-12s %s\n", name, stash.Clean(value))
		}
	}
	row("id", string(it.ID))
	row("state", stateWords(it))
	row("form", string(p.Form))
	row("dye lot", p.Lot)
	row("bin", p.Bin)
	row("acquired", p.Acquired)
	row("price", priceWords(p.Price))
	row("tare", tareWords(p.Tare, units))
	row("weighed", strings.TrimLeft(strings.TrimPrefix(WeighedWords(it), "weighed"), ", "))
	row("available", MassWords(it.AvailableMg, units))
	row("doubt", doubtWords(it, units))
	flags := it.Flags
	if IsPlain(w) {
		flags = InWords(flags)
	}
	row("flags", strings.Join(flags, ", "))
	row("quarantine", quarantineWords(p.Quarantine))
	row("reserved", reserveWords(p.Reserve, units))
	row("longest", lengthWords(p.Longest, it.Amount.Strand, units))
	row("knots", knotWords(p.Knots))
	row("source", p.Source)
	row("note", p.Note)
	row("photo", s.Photo)
	printOtherFacts(w, s.Facts)
	PrintYarnFacts(w, it.Recorded, it.Learned, units, neverDone(p)...)
	printAccount(w, p, units)
	for _, q := range p.Question {
		row("question", q)
	}
	PrintDisputes(w, stash.WhatPackage, p.Label(), p.Disputed)
	PrintDisputes(w, stash.WhatYarn, it.Recorded.Name, it.Recorded.Disputed)
	PrintLines(w, s.Frozen)
	PrintPast(w, s.Events)
}

// fieldOf is the fact that a row of `show` tells, by the name of the row.
func fieldOf(row string) string {
	switch row {
	case "dye lot":
		return "lot"
	case "reserved":
		return "reserve"
	case "built":
		return "construction"
	case "fit for":
		return "fit"
	case "yarn's note":
		return "note"
	}
	return row
}

// PrintDisputes prints what machines disagree about, and what settles it.
func PrintDisputes(w io.Writer, what stash.What, name string,
	disputed map[string][]json.RawMessage) {
	for _, field := range slices.Sorted(maps.Keys(disputed)) {
		text := Wrap(stash.DisputeWords(what, name, field, disputed[field]), "               ",
			RoomOf(w))
		fmt.Fprint(w, "  question    "+strings.TrimPrefix(text, "              "))
	}
}

// stateWords say where an item is; if it is lent, to whom and since when.
func stateWords(it Item) string {
	p := it.Pack
	if p.LentTo == "" {
		return it.State
	}
	text := "lent to " + p.LentTo + " since " + p.LentAt.Format(time.DateOnly)
	if p.LentUntil != "" {
		text += ", until " + p.LentUntil
	}
	return text
}

// printAccount prints where a package's yarn went, leaving out what is zero.
func printAccount(w io.Writer, p stash.Package, units measure.System) {
	parts := []string{"received " + p.Received.Format(units)}
	if p.Account.Before > 0 {
		parts[0] += " (" + p.Account.Before.Format(units) + " had left it when it was first weighed)"
	}
	for _, part := range []struct {
		name string
		mass measure.Mass
	}{{"wound in", p.In}, {"used", p.Used}, {"discarded", p.Discarded}, {"given", p.Account.Given},
		{"wound off", p.Out}, {"unexplained", p.Unexplained}} {
		if part.mass != 0 {
			parts = append(parts, part.name+" "+part.mass.Format(units))
		}
	}
	text := Wrap(strings.Join(append(parts, "holds "+p.Held.Format(units)), ", "),
		"               ", RoomOf(w))
	fmt.Fprint(w, "  account     "+strings.TrimPrefix(text, "              "))
}

// neverDone are the ways of keeping an item that were never recorded of it.
func neverDone(p stash.Package) (never []string) {
	for _, done := range [][2]string{{p.Washed, "washed"}, {p.Aired, "aired"}, {p.Frozen, "frozen"}} {
		if done[0] == "" {
			never = append(never, done[1])
		}
	}
	return never
}

// PrintYarnFacts prints the facts of a yarn as recorded, and its count as learned; at the
// end what is not recorded, of an item what never was done to it too.
func PrintYarnFacts(w io.Writer, y stash.Yarn, learned *making.Loss, units measure.System,
	never ...string) {
	var missing []string
	row := func(name, value string) {
		if _, disputed := y.Disputed[fieldOf(name)]; disputed {
			value = stash.Disputed(value)
		}
		if value == "" {
			missing = append(missing, name)
		} else {
			fmt.Fprintf(w, "  %-12s %s\n", name, stash.Clean(value))
		}
	}
	count := CountWords(y.Count, units)
	if learned != nil {
		count = learned.Text + ", " + learned.Basis
	}
	row("fibre", FibreWords(y))
	row("count", count)
	row("built", strings.Join(y.Construction, ", "))
	row("fit for", string(y.Fit))
	row("shedding", SheddingWords(y.Shedding))
	row("stretch", string(y.Stretch))
	row("shrinks", string(y.Shrinks))
	row("wash", WashWords(y.Wash))
	row("bleeds", string(y.Bleeds))
	if y.Odour != "" {
		row("odour", y.Odour)
	}
	if y.Note != "" {
		row("yarn's note", y.Note)
	}
	printOtherFacts(w, OthersOf(stash.WhatYarn, y.YarnFacts))
	if missing = append(missing, never...); len(missing) > 0 {
		row("unrecorded", strings.Join(missing, ", "))
	}
}

// ShownYarn is the JSON shape of one yarn with its packages.
type ShownYarn struct {
	YarnShape
	Facts OtherFacts `json:"facts"`
	// Learned is the count that finished pieces show, null where the recorded one
	// stands.
	Learned  *making.Loss   `json:"learned_count"`
	Packages []Item         `json:"items"`
	NetMg    measure.Mass   `json:"net_mg"`
	Lots     map[string]int `json:"dye_lots"`
}
