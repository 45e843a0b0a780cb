package main

import (
	"strings"

	"github.com/urfave/cli/v2"
)

// optionGroups puts the options that few need under headings of their own, in
// this order; every other option comes first.
var optionGroups = []struct {
	heading string
	names   []string
}{
	{"size range and loom", []string{"least-width", "most-width", "least-length", "most-length",
		"front-waste", "back-waste", "header", "sample", "loops"}},
	{"edges and fringe", []string{"fringe", "twisted", "braided", "knotted", "other-end", "bunch",
		"bunch-groups", "floating-selvedges", "ends", "repeat", "balance", "hem", "hemstitched-edges",
		"hemstitch-picks", "bound-edges", "hemstitch-yarn"}},
	{"stripes and colours", []string{"stripes", "stripe-rule", "symmetric", "least-stripe",
		"most-stripe", "mix-lots", "wif"}},
	{"losses, if you know better than handbook and learning",
		[]string{"take-up", "weft-take-up", "shrink-length", "shrink-width", "draw-in", "beat", "strain"}},
	{"special wefts and warps", []string{"end-strands", "pick-strands", "clasped", "rag-per-m2"}},
	{"what it is like", []string{"construction", "twist", "fit", "swatch", "aired", "washed", "frozen", "shedding", "shrinks", "wash", "bleeds",
		"odour", "hazards", "longest", "knots", "quarantine", "reserve", "source"}},
	{"how the file is written", []string{"sheet", "map", "mapping", "save-mapping", "decimal",
		"delimiter", "encoding", "collection", "bad-rows"}},
	{"how it is recorded", []string{"on", "once", "note", "force", "override", "dry-run"}},
}

// optionEntries are the options of a command as help lists them: those that
// most need first, then each group under its heading. A command with few
// options has them in one list, and no heading is for a single one.
func optionEntries(flags []cli.Flag) string {
	const few = 9
	var first strings.Builder
	grouped := make([]strings.Builder, len(optionGroups))
	for _, f := range flags {
		if f == cli.HelpFlag {
			continue // the library adds it on the way
		}
		name, usage, ok := optionWords(f)
		if !ok {
			continue
		}
		into := &first
		if g := groupOf(f.Names()[0]); g >= 0 && len(flags) > few && companions(flags, g) > 1 {
			into = &grouped[g]
		}
		into.WriteString(entry(name, usage))
	}
	page := "\noptions\n" + first.String() + entry("--help", "show this page")
	for i := range grouped {
		if grouped[i].Len() > 0 {
			page += "\n" + optionGroups[i].heading + "\n" + grouped[i].String()
		}
	}
	return page
}

// companions is how many of the options are in a group.
func companions(flags []cli.Flag, group int) (n int) {
	for _, f := range flags {
		if groupOf(f.Names()[0]) == group {
			n++
		}
	}
	return n
}

// groupOf is the place of the group that an option is in, -1 where in none.
func groupOf(name string) int {
	for i, g := range optionGroups {
		for _, n := range g.names {
			if n == name {
				return i
			}
		}
	}
	return -1
}
