package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
)

// answerImport answers with what came in.
func (im *tableImport) answerImport() error {
	r := &im.report
	g := im.table.Grid
	r.File, r.Sheet, r.Encoding, r.Delimiter = g.File, show.Known(g.Sheet), show.Known(g.Encoding),
		show.Known(g.Delimiter)
	r.DryRun, r.BadRows = im.Bool("dry-run"), im.bad.problems.Rows
	for _, c := range im.table.Columns {
		r.Columns = append(r.Columns,
			show.ImportColumn{Heading: c.Heading, Field: show.Known(targetOf(c))})
	}
	r.PassedOver = append([]int{}, im.table.Passed()...)
	r.Problems = []string{}
	for _, p := range im.bad.problems.List {
		r.Problems = append(r.Problems, p.Error())
	}
	r.Changed, r.Questions = append([]show.ImportChange{}, r.Changed...),
		append([]show.ImportQuestion{}, r.Questions...)
	report := *r
	correct := im.correct
	return im.answer(report, func(w io.Writer) { show.PrintImport(w, report, correct) })
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
	k.note("%s", strings.TrimRight(show.Wrap(strings.Join(head, ", "), "", 79), "\n"))
	for _, line := range filled("columns:", parts, 77) {
		k.note("  %s", line)
	}
	for _, n := range t.Notes {
		k.note("%s", strings.TrimRight(show.Wrap(n, "  ", 79), "\n"))
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
		if show.Cells(line)+1+show.Cells(item) > width {
			lines = append(lines, line)
			line = item
			continue
		}
		line += " " + item
	}
	return append(lines, line)
}
