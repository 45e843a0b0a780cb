package csvfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"endsmeet/importers"
)

// guard passes text on and stops it where a record grows beyond a limit or a
// character cannot be text. It keeps the text of the record that is being read
// and knows the place of what it last passed on.
type guard struct {
	r       io.Reader
	limit   int // bytes of one record
	comma   []byte
	start   int64 // where kept begins in the text
	kept    []byte
	line    int
	column  int
	sixteen bool // the file is UTF-16, in which U+FFFD is what is left of broken pairs
	eof     bool
	fail    *importers.Problem
}

// maxCells is how many cells a record may have: as many as the columns of the
// widest spreadsheets (16,384). More are no table, and each takes memory.
const maxCells = 1 << 14

// readAhead is how much the CSV reader may take beyond the record that it is
// at: the buffer of encoding/csv's bufio.Reader.
const readAhead = 4096

func newGuard(r io.Reader, o Options) *guard {
	return &guard{r: r, limit: int(o.MaxRecord), comma: []byte(string(o.Delimiter)), line: 1,
		column: 1, sixteen: o.Encoding == UTF16LE || o.Encoding == UTF16BE}
}

// begin says that a record begins at an offset: what stood before is let go.
func (g *guard) begin(offset int64) {
	n := copy(g.kept, g.kept[min(offset-g.start, int64(len(g.kept))):])
	g.kept, g.start = g.kept[:n], offset
}

// since returns the text of the record up to an offset.
func (g *guard) since(offset int64) string { return string(g.kept[:offset-g.start]) }

// ended reports whether the text ends at an offset.
func (g *guard) ended(offset int64) bool {
	return g.eof && offset-g.start >= int64(len(g.kept))
}

// stop refuses everything from here on.
func (g *guard) stop(reason, hint string) {
	g.fail = fault(g.line, g.column, reason, hint)
	g.fail.Fatal = true
}

// Read implements io.Reader. After a fault it returns that fault for ever.
func (g *guard) Read(p []byte) (int, error) {
	if g.fail == nil && len(g.kept) > g.limit+readAhead {
		g.stop("the record is too long: a quotation mark that is not closed, or no table at all",
			"look for a lone quotation mark above")
	}
	if g.fail == nil && len(g.kept) > maxCells && bytes.Count(g.kept, g.comma) > maxCells {
		g.stop(fmt.Sprintf("the record has more than %d cells", maxCells),
			"check that it is a table, and look for a lone quotation mark above")
	}
	if g.fail != nil {
		return 0, g.fail
	}
	n, err := g.r.Read(p[:min(len(p), readAhead)])
	g.eof = errors.Is(err, io.EOF)
	n = g.check(p[:n])
	g.kept = append(g.kept, p[:n]...)
	if g.fail != nil {
		return n, g.fail
	}
	return n, err
}

// check counts lines and columns, and returns how much of p is free of faults.
func (g *guard) check(p []byte) int {
	for i, b := range p {
		switch {
		case b == 0:
			g.stop("a NUL character: this is no text, or the file is damaged",
				"save it again as CSV")
			return i
		case g.sixteen && b == 0xEF && utf8.FullRune(p[i:]):
			if r, _ := utf8.DecodeRune(p[i:]); r == utf8.RuneError {
				g.stop("half a character: the file is cut off or damaged here",
					"save it again as CSV")
				return i
			}
			g.column++
		case b == '\n':
			g.line, g.column = g.line+1, 1
		case utf8.RuneStart(b):
			g.column++
		}
	}
	return len(p)
}
