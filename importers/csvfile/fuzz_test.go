package csvfile

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"endsmeet/importers"
)

// Whatever the bytes: cells are UTF-8 without NUL, have their places, and every
// refusal has a remedy.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("../../testdata/sheets/*.csv")
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, path := range files {
		raw, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	for _, s := range []string{"", "a,\"b", "a\"b,c", "\xFF\xFEa\x00", "\xFE\xFF\x00a", "a\x00b",
		"sep=;\na;b", "\uFEFFa,b", "\xC3", "é\xE9"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		g, err := New("f.csv", func() (io.ReadCloser, error) {
			return io.NopCloser(strings.NewReader(string(raw))), nil
		}, Options{MaxRecord: 1 << 12})
		if err != nil {
			hinted(t, err)
			return
		}
		line := 0
		for row, err := range g.Rows {
			if err != nil {
				hinted(t, err)
				continue
			}
			if row.Line <= line {
				t.Fatalf("line %d follows line %d", row.Line, line)
			}
			line = row.Line
			for i, c := range row.Cells {
				if c.Col != i+1 || c.Row < row.Line || !utf8.ValidString(c.Text) ||
					strings.Contains(c.Text, "\x00") {
					t.Fatalf("cell %+v", c)
				}
			}
		}
		if table, err := importers.NewTable(g, importers.Options{}); err == nil {
			for rec, err := range table.Records() {
				if err == nil && rec.Name == "" {
					t.Fatalf("%+v", rec)
				}
			}
		}
	})
}

func hinted(t *testing.T, err error) {
	var p *importers.Problem
	if !errors.As(err, &p) || p.Hint == "" || p.File == "" {
		t.Fatalf("no problem with a remedy: %v", err)
	}
}
