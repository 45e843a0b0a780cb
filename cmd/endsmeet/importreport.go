package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash"
)

// importReport is the JSON shape of an import. Rows counts all that were read,
// Packages and NewYarns what was recorded, Yarns those that the rows are of.
type importReport struct {
	File      string           `json:"file"`
	Sheet     *string          `json:"sheet"`
	Encoding  *string          `json:"encoding"`
	Delimiter *string          `json:"delimiter"`
	Columns   []importColumn   `json:"columns"`
	DryRun    bool             `json:"dry_run"`
	Rows      int              `json:"rows"`
	Packages  int              `json:"packages"`
	Yarns     int              `json:"yarns"`
	NewYarns  int              `json:"new_yarns"`
	Unchanged int              `json:"unchanged"`
	Corrected int              `json:"corrected"`
	BadRows   int              `json:"bad_rows"`
	Changed   []importChange   `json:"changed"`
	Questions []importQuestion `json:"questions"`
	Problems  []string         `json:"problems"`
	// PassedOver are the lines of rows that add up others.
	PassedOver []int `json:"passed_over"`

	more int // questions beyond those kept
}

// importColumn is what a column was taken for; Field is null where its cells
// are notes.
type importColumn struct {
	Heading string  `json:"heading"`
	Field   *string `json:"field"`
}

// importChange is a row that says something else than when it came in.
type importChange struct {
	Line    int      `json:"line"`
	Package string   `json:"package"`
	Changes []string `json:"changes"`
}

func (c *importChange) add(format string, args ...any) {
	c.Changes = append(c.Changes, fmt.Sprintf(format, args...))
}

// importQuestion is what a person should settle, and a command for it.
type importQuestion struct {
	Line    int     `json:"line"`
	Package *string `json:"package"`
	Text    string  `json:"question"`
	Command *string `json:"command"`
}

// answerImport answers with what came in.
func (im *tableImport) answerImport() error {
	r := &im.report
	g := im.table.Grid
	r.File, r.Sheet, r.Encoding, r.Delimiter = g.File, known(g.Sheet), known(g.Encoding),
		known(g.Delimiter)
	r.DryRun, r.BadRows = im.Bool("dry-run"), im.bad.problems.Rows
	for _, c := range im.table.Columns {
		r.Columns = append(r.Columns, importColumn{c.Heading, known(targetOf(c))})
	}
	r.PassedOver = append([]int{}, im.table.Passed()...)
	r.Problems = []string{}
	for _, p := range im.bad.problems.List {
		r.Problems = append(r.Problems, p.Error())
	}
	r.Changed, r.Questions = append([]importChange{}, r.Changed...),
		append([]importQuestion{}, r.Questions...)
	report := *r
	correct := im.correct
	return im.answer(report, func(w io.Writer) { printImport(w, report, correct) })
}

// targetOf is what a column was taken for, empty for notes.
func targetOf(c importers.Column) string {
	t := importers.Target{Field: c.Field, Unit: c.Unit}
	if c.Field == importers.FieldPrice {
		t.Unit = string(c.Basis)
	}
	return t.String()
}

// tellTable tells how a table is read, on standard error.
func (k *call) tellTable(t *importers.Table) {
	g := t.Grid
	head := []string{filepath.Base(g.File)}
	if g.Sheet != "" {
		head = append(head, "sheet "+g.Sheet)
	}
	if g.Encoding != "" {
		head = append(head, g.Encoding, "cells divided by "+g.Delimiter)
	}
	head = append(head, fmt.Sprintf("headings in line %d", t.Line))
	var parts []string
	for _, c := range t.Columns {
		switch target := targetOf(c); {
		case c.Heading == "" && c.Field == "":
		case c.Field == "":
			parts = append(parts, c.Heading+" (a note)")
		case strings.EqualFold(c.Heading, target):
			parts = append(parts, c.Heading)
		default:
			parts = append(parts, c.Heading+" = "+target)
		}
	}
	k.note("%s", strings.TrimRight(wrap(strings.Join(head, ", "), "", 79), "\n"))
	for _, line := range filled("columns:", parts, 77) {
		k.note("  %s", line)
	}
	for _, n := range t.Notes {
		k.note("%s", strings.TrimRight(wrap(n, "  ", 79), "\n"))
	}
}

// filled puts items behind a word into lines of at most width characters, no
// item broken.
func filled(word string, items []string, width int) []string {
	var lines []string
	line := word
	for i, item := range items {
		if i < len(items)-1 {
			item += ","
		}
		if cells(line)+1+cells(item) > width {
			lines = append(lines, line)
			line = item
			continue
		}
		line += " " + item
	}
	return append(lines, line)
}

func printImport(w io.Writer, r importReport, correct bool) {
	verb := "came in"
	if r.DryRun {
		verb = "would come in"
	}
	fmt.Fprintf(w, "%s of %s %s from %s\n", plural(r.Packages, "package"), plural(r.Yarns, "yarn"),
		verb, plural(r.Rows, "row"))
	if r.Unchanged > 0 {
		fmt.Fprintf(w, "%s known already and unchanged\n", plural(r.Unchanged, "row"))
	}
	for _, line := range r.PassedOver {
		fmt.Fprintf(w, "line %d is passed over: it adds up other rows\n", line)
	}
	if r.BadRows > 0 {
		fmt.Fprintf(w, "%s left out:\n", plural(r.BadRows, "bad row"))
		for _, p := range r.Problems {
			fmt.Fprintln(w, harmless("  "+strings.ReplaceAll(p, "\n", "\n  ")))
		}
	}
	printChanges(w, r, correct)
	printQuestions(w, r)
	if r.Packages > 0 && !r.DryRun {
		fmt.Fprintln(w, "`endsmeet undo` takes all of it back")
	}
}

func printChanges(w io.Writer, r importReport, correct bool) {
	if len(r.Changed) == 0 {
		return
	}
	head := "changed since the last import; --correct records it:"
	if correct {
		head = "changed since the last import, and corrected:"
	}
	fmt.Fprintln(w, head)
	for _, c := range r.Changed {
		fmt.Fprint(w, hanging(fmt.Sprintf("line %d, %s: %s", c.Line, c.Package,
			strings.Join(c.Changes, "; "))))
	}
}

// printQuestions prints what a person should settle, rows with the same
// question together.
func printQuestions(w io.Writer, r importReport) {
	if len(r.Questions) == 0 {
		return
	}
	fmt.Fprintln(w, "to settle when you have the time; nothing waits for it:")
	for _, q := range r.Questions {
		where := fmt.Sprintf("line %d", q.Line)
		if q.Package != nil {
			where = *q.Package
		}
		fmt.Fprint(w, hanging(where+": "+q.Text))
		if q.Command != nil {
			fmt.Fprintln(w, "      "+stash.Clean(*q.Command))
		}
	}
	if r.more > 0 {
		fmt.Fprintf(w, "  and %d more\n", r.more)
	}
}

// hanging wraps a point of a list.
func hanging(text string) string {
	return "  " + strings.TrimPrefix(wrap(text, "    ", 79), "    ")
}
