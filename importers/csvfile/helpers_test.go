package csvfile

import (
	"bytes"
	"errors"
	"io"
	"os/exec"
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/stash/outside"
)

// text opens a text as a grid.
func text(s string, o Options) (*importers.Grid, error) {
	return New("t.csv", func() (io.ReadCloser, error) {
		return io.NopCloser(strings.NewReader(s)), nil
	}, o)
}

// cellsOf reads all rows of a text; cells are joined with |, problems gathered.
func cellsOf(t testing.TB, s string, o Options) (rows []string, problems []*importers.Problem) {
	t.Helper()
	g, err := text(s, o)
	if err != nil {
		t.Fatal(err)
	}
	for row, err := range g.Rows {
		var p *importers.Problem
		if errors.As(err, &p) {
			problems = append(problems, p)
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		var cells []string
		for _, c := range row.Cells {
			cells = append(cells, c.Text)
		}
		rows = append(rows, strings.Join(cells, "|"))
	}
	return rows, problems
}

// problemOf returns the problem that opening or reading a text ends in.
func problemOf(t testing.TB, s string) *importers.Problem {
	t.Helper()
	g, err := text(s, Options{})
	if err == nil {
		for _, err = range g.Rows {
			if err != nil {
				break
			}
		}
	}
	var p *importers.Problem
	if !errors.As(err, &p) {
		t.Fatalf("no problem but %v", err)
	}
	return p
}

// records reads a table that has no bad rows.
func records(t testing.TB, path string) (*importers.Table, []importers.Record) {
	t.Helper()
	g, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var all []importers.Record
	for rec, err := range table.Records() {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, rec)
	}
	return table, all
}

// tool returns a command of an outside program, or skips the test.
func tool(t testing.TB, name string, args ...string) *exec.Cmd {
	t.Helper()
	return exec.Command(outside.Program(t, name), args...)
}

// run runs a command and returns what it prints.
func run(t testing.TB, cmd *exec.Cmd, in string) string {
	t.Helper()
	var out, errs bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(in), &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %v\n%s", cmd.Args, err, errs.String())
	}
	return out.String()
}
