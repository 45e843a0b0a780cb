package importers

import (
	"errors"
	"strings"
	"testing"
)

// gridOf makes a grid of texts: cells are split at |.
func gridOf(lines ...string) *Grid {
	g := &Grid{File: "test.csv"}
	g.Rows = func(yield func(Row, error) bool) {
		for i, line := range lines {
			row := Row{Line: i + 1}
			for j, text := range strings.Split(line, "|") {
				row.Cells = append(row.Cells, Cell{Text: text, Row: i + 1, Col: j + 1})
			}
			if !yield(row, nil) {
				return
			}
		}
	}
	return g
}

// read reads a whole grid: its good rows and the problems of the others.
func read(t testing.TB, g *Grid, o Options) ([]Record, *Problems) {
	t.Helper()
	table, err := NewTable(g, o)
	if err != nil {
		t.Fatalf("no table: %v", err)
	}
	var good []Record
	bad := &Problems{}
	for rec, err := range table.Records() {
		var e *RowError
		switch {
		case errors.As(err, &e):
			bad.Add(e)
		case err != nil:
			t.Fatal(err)
		default:
			good = append(good, rec)
		}
	}
	return good, bad
}

// one reads a grid of a single good row.
func one(t testing.TB, header, row string) Record {
	t.Helper()
	good, bad := read(t, gridOf(header, row), Options{})
	if err := bad.Err(); err != nil || len(good) != 1 {
		t.Fatalf("want one good row, got %d; %v", len(good), err)
	}
	return good[0]
}

// refused reads a grid of a single bad row and returns its problems.
func refused(t testing.TB, header, row string) []*Problem {
	t.Helper()
	good, bad := read(t, gridOf(header, row), Options{})
	if len(good) != 0 || bad.Rows != 1 {
		t.Fatalf("want one bad row, got %d good and %d bad", len(good), bad.Rows)
	}
	return bad.List
}
