package csvfile

import (
	"encoding/csv"
	"io"
	"strings"

	"github.com/gocarina/gocsv"

	"endsmeet/importers"
)

// Rejects writes bad rows to a file that can be mended and imported again: the
// header, then each row as it stood. A row whose cells could not be told apart
// is written as the text that it was. The file is UTF-8, with the separator of
// the file that the rows come from.
//
// The rows are the person's own, and are written as they are: unlike an export,
// cells that begin with = or + are not defused.
type Rejects struct {
	w      io.Writer
	csv    *gocsv.SafeCSVWriter
	header []string
}

// NewRejects returns a writer for the bad rows of a table. Nothing is written
// before the first of them.
func NewRejects(w io.Writer, t *importers.Table) *Rejects {
	out := csv.NewWriter(w)
	if comma := ParseDelimiter(t.Grid.Delimiter); comma != 0 {
		out.Comma = comma
	}
	r := &Rejects{w: w, csv: gocsv.NewSafeCSVWriter(out)}
	for _, cell := range t.Header {
		r.header = append(r.header, cell.Text)
	}
	return r
}

// Add writes a bad row.
func (r *Rejects) Add(e *importers.RowError) error {
	if r.header != nil {
		if err := r.csv.Write(r.header); err != nil {
			return err
		}
		r.header = nil
	}
	if e.Raw == "" {
		return r.csv.Write(e.Cells)
	}
	if err := r.Flush(); err != nil {
		return err
	}
	_, err := io.WriteString(r.w, strings.TrimRight(e.Raw, "\r\n")+"\n")
	return err
}

// Flush writes out what is buffered, and returns the first error of any write.
func (r *Rejects) Flush() error {
	r.csv.Flush()
	return r.csv.Error()
}
