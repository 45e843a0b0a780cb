package main

import (
	"context"
	_ "embed"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/sqlite"
)

// changes is the list of changes.
//
//go:embed changes.txt
var changes string

func changesPage() string { return changes }

// sqlPage tells of the tables that other programs may read, as the file has them.
func sqlPage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("The stash is a SQLite file. Besides its own tables, which change from version to version, it has some that other programs may read: "+
		"columns are added to them and never renamed, and nothing can be written through them. Read only: sqlite3 -readonly FILE, in a spreadsheet by its SQLite driver.", "", show.PageWidth))
	b.WriteString("\n" + show.Wrap("Names end in their unit: _mg milligrams, _mm millimetres, mtex milligrams per kilometre; times are in UTC. NULL is not known. "+
		"length_mm is computed from weight and count, without doubt or whole ends: `endsmeet list` knows more. "+
		"The table people is empty unless `endsmeet config people.sync=yes` says that they may leave this machine. In movements, leave out rows that were undone: WHERE NOT undone.", "", show.PageWidth))
	b.WriteString("\ntables\n")
	relations, err := sqlite.Relations(context.Background())
	if err != nil {
		return err.Error() + "\n"
	}
	for _, r := range relations {
		b.WriteString(entry(r.Name, strings.Join(r.Columns, ", ")))
	}
	b.WriteString("\nfor example\n" +
		"  sqlite3 -readonly -box stash.db \"SELECT tag, yarn, held_mg / 1000 AS g FROM items WHERE NOT retired\"\n" +
		"  sqlite3 -readonly -box stash.db \"SELECT bin, count(*), sum(held_mg) / 1e6 AS kg FROM items GROUP BY bin\"\n" +
		"  sqlite3 -readonly -box stash.db \"SELECT at, kind, tag, mass_mg FROM movements WHERE NOT undone\"\n")
	return b.String()
}

// withoutJSON are the commands that print no JSON, and why.
var withoutJSON = []struct{ name, why string }{
	{"help", "prints text for a reader"},
	{"completion", "prints a script for a shell"},
	{"demo", "prints what other commands print"},
	{"export", "writes files; with - it prints the file itself"},
}

// ofLists tells how commands are given many items.
const ofLists = "`endsmeet list --ids` prints a tag, or an id, on each line. With --from FILE, or - for standard input, " +
	"weigh, use, discard, give, lend, return, retire and set record the same of each, of all of them or of none; " +
	"the answer is a list, of what one item is answered with. stocktake reads what a scale showed. " +
	"Every other command takes one item: endsmeet list --ids | xargs -I TAG endsmeet show TAG"

func jsonPage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("With --json a command prints one JSON value on standard output. Names end in their unit: _mg milligrams, _mm millimetres, mtex milligrams per kilometre, "+
		"_ppm parts in a million; quantities are whole numbers, times are as in RFC 3339, null is not known. "+
		"This is version 1: keys may be added, never renamed or taken away. "+
		"The schema of every answer is with the source, in testdata/answers.schema.json.", "",
		show.PageWidth))
	b.WriteString("\n" + show.Wrap("An error is one line on standard error: {\"error\":{\"code\",\"message\",\"hint\"}}, where code is a word that stays the same; "+
		"`endsmeet help exit-codes` tells how a command ends.", "", show.PageWidth))
	b.WriteString("\nlists of items\n")
	b.WriteString(show.Wrap(ofLists, "  ", show.PageWidth))
	b.WriteString("\nwithout JSON\n")
	for _, c := range withoutJSON {
		b.WriteString(entry(c.name, c.why))
	}
	return b.String()
}
