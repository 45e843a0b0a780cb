package csvfile

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"
	"testing"

	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"

	"endsmeet/importers"
)

// Whatever a writer that keeps to RFC 4180 writes, in each separator and
// encoding, is read back cell for cell.
func TestRoundTrip(t *testing.T) {
	cell := rapid.StringOfN(rapid.SampledFrom([]rune("ab\"'\n,;\t é½😀=")), 0, 8, -1)
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(1, 4).Draw(t, "width")
		rows := rapid.SliceOfN(rapid.SliceOfN(cell, width, width), 1, 6).Draw(t, "rows")
		for _, row := range rows {
			row[0] = "x" + row[0] // no blank line, no sep=, no signature
		}
		comma := rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "comma")
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Comma, w.UseCRLF = comma, rapid.Bool().Draw(t, "CRLF")
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		in := encode(t, b.String())
		g, err := New("r.csv", func() (io.ReadCloser, error) {
			return io.NopCloser(strings.NewReader(in)), nil
		}, Options{Delimiter: comma})
		if err != nil {
			t.Fatal(err)
		}
		same(t, g, rows)
	})
}

func encode(t *rapid.T, text string) string {
	switch rapid.IntRange(0, 3).Draw(t, "encoding") {
	case 1:
		return "\uFEFF" + text
	case 2:
		text, _ = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String(text)
	case 3:
		text, _ = unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().String(text)
	}
	return text
}

func same(t *rapid.T, g *importers.Grid, rows [][]string) {
	i := 0
	for row, err := range g.Rows {
		if err != nil || i >= len(rows) || len(row.Cells) != len(rows[i]) {
			t.Fatalf("row %d: %v, %v", i, row, err)
		}
		for j, c := range row.Cells {
			if c.Text != rows[i][j] {
				t.Fatalf("row %d cell %d: got %q, want %q", i, j, c.Text, rows[i][j])
			}
		}
		i++
	}
	if i != len(rows) {
		t.Fatalf("got %d rows, want %d", i, len(rows))
	}
}
