package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
)

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
		switch target := c.Target().String(); {
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
