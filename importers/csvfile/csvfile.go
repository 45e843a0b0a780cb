package csvfile

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/gocarina/gocsv"

	"endsmeet/importers"
)

// Options say how a file is to be read; the zero value finds everything out.
type Options struct {
	Encoding  string // one of Encodings; "" to find out
	Delimiter rune   // ',', ';', '\t' or another; 0 to find out
	MaxRecord int64  // bytes of one record; 0 means defaultMaxRecord
}

// defaultMaxRecord is how long a record may be, in bytes of UTF-8.
const defaultMaxRecord = 1 << 20

// maxFile is how large a file may be: some five million rows of a stash.
const maxFile = 256 << 20

// Open looks through a file and returns its rows as a grid, which opens the
// file anew each time that it is ranged over. The error is a
// *importers.Problem with the place of the fault, or the system's.
func Open(path string, o Options) (*importers.Grid, error) {
	if err := importers.CheckFile(path, maxFile); err != nil {
		return nil, err
	}
	return New(path, func() (io.ReadCloser, error) { return os.Open(path) }, o)
}

// source is a file that has been looked through.
type source struct {
	file string
	open func() (io.ReadCloser, error)
	Options
}

// New does the same for anything that can be opened more than once. name is
// what errors call it.
func New(name string, open func() (io.ReadCloser, error), o Options) (*importers.Grid, error) {
	s := &source{file: name, open: open, Options: o}
	if s.MaxRecord <= 0 {
		s.MaxRecord = defaultMaxRecord
	}
	if err := s.look(); err != nil {
		return nil, importers.Locate(err, name, "")
	}
	g := &importers.Grid{File: name, Encoding: s.Encoding, Delimiter: delimiterName(s.Delimiter),
		Strict: true}
	g.Rows = func(yield func(importers.Row, error) bool) { s.rows(yield) }
	return g, nil
}

// look finds encoding and delimiter where they are not given.
func (s *source) look() error {
	if s.Encoding != "" && !slices.Contains(Encodings(), s.Encoding) {
		return fault(0, 0, fmt.Sprintf("no such encoding: %q", s.Encoding),
			"one of "+strings.Join(Encodings(), ", "))
	}
	in, err := s.open()
	if err != nil {
		return err
	}
	s.Encoding, err = detect(in, s.Encoding)
	if err = errors.Join(err, in.Close()); err != nil || s.Delimiter != 0 {
		return err
	}
	return s.lookForDelimiter()
}

func (s *source) lookForDelimiter() error {
	in, err := s.open()
	if err != nil {
		return err
	}
	defer in.Close()
	text, err := decoder(in, s.Encoding)
	if err != nil {
		return err
	}
	head, err := io.ReadAll(io.LimitReader(text, 64<<10))
	s.Delimiter = sniff(string(head))
	return err
}

// rows delivers the rows from the top.
func (s *source) rows(yield func(importers.Row, error) bool) {
	in, err := s.open()
	if err != nil {
		yield(importers.Row{}, err)
		return
	}
	defer in.Close()
	text, err := decoder(in, s.Encoding)
	if err != nil {
		yield(importers.Row{}, importers.Locate(err, s.file, ""))
		return
	}
	r := newReader(text, s.Options)
	decode := gocsv.NewSimpleDecoderFromCSVReader(r)
	for {
		cells, err := decode.GetCSVRow()
		if err == io.EOF {
			return
		}
		row, err := r.row(cells), importers.Locate(err, s.file, "")
		if !yield(row, err) || err != nil && !recoverable(err) {
			return
		}
	}
}

// recoverable reports whether rows can follow an error.
func recoverable(err error) bool {
	var p *importers.Problem
	return errors.As(err, &p) && !p.Fatal
}

// reader reads records with their places. It is gocsv's CSVReader, so that
// gocsv's decoder drives it; every cell stays text, since gocsv would read 3.5
// into a whole number as 3.
type reader struct {
	csv   *csv.Reader
	guard *guard
	cells []importers.Cell
	done  bool
	first bool
}

func newReader(text io.Reader, o Options) *reader {
	g := newGuard(text, o)
	r := csv.NewReader(g)
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = o.Delimiter, -1, true
	return &reader{csv: r, guard: g, first: true}
}

// Read returns the next record, or a *importers.Problem: for a stray quotation
// mark the next records still come, after anything else io.EOF does.
func (r *reader) Read() ([]string, error) {
	if r.done {
		return nil, io.EOF
	}
	r.guard.begin(r.csv.InputOffset())
	record, err := r.csv.Read()
	if r.first {
		r.first = false
		if err == nil && strings.HasPrefix(record[0], "sep=") &&
			len(strings.Join(record, "")) <= len("sep=;") {
			return r.Read()
		}
	}
	return record, r.translate(err)
}

// ReadAll implements gocsv.CSVReader; nothing that streams calls it.
func (r *reader) ReadAll() (records [][]string, err error) {
	for {
		record, err := r.Read()
		if err == io.EOF {
			return records, nil
		}
		if err != nil {
			return nil, err
		}
		records = append(records, append([]string(nil), record...))
	}
}

// translate makes encoding/csv's errors problems with the place and the remedy.
func (r *reader) translate(err error) error {
	var parse *csv.ParseError
	if r.guard.fail != nil && err != nil {
		r.done = true
		return r.guard.fail
	}
	if !errors.As(err, &parse) {
		r.done = r.done || err != nil
		return err
	}
	raw := r.guard.since(r.csv.InputOffset())
	parse.Column = character(raw, parse.Column)
	p := r.explain(parse)
	p.Raw = raw
	p.Fatal = parse.Err == csv.ErrQuote && parse.Line > parse.StartLine &&
		r.guard.ended(r.csv.InputOffset())
	return p
}

// character turns a column in bytes, in the last line of a text, into one in
// characters.
func character(text string, column int) int {
	text = strings.TrimRight(text, "\r\n")
	line := text[strings.LastIndexByte(text, '\n')+1:]
	return utf8.RuneCountInString(line[:min(column-1, len(line))]) + 1
}

// explain says what a fault is, and what to do about it.
func (r *reader) explain(parse *csv.ParseError) *importers.Problem {
	switch parse.Err {
	case csv.ErrBareQuote:
		return fault(parse.Line, parse.Column,
			"a quotation mark inside a cell that does not begin with one (RFC 4180 section 2.5)",
			`put the whole cell between quotation marks and write the mark inside it twice: "5"" wide"`)
	case csv.ErrQuote:
		return fault(parse.Line, parse.Column,
			fmt.Sprintf("the cell is not closed by a quotation mark as it should be; the record began on line %d (RFC 4180 sections 2.5 to 2.7)", parse.StartLine), "close it, and write a mark inside the cell twice")
	}
	return fault(parse.Line, parse.Column, parse.Err.Error(), "see RFC 4180")
}

// row gives a record's cells their places.
func (r *reader) row(record []string) importers.Row {
	if len(record) == 0 {
		return importers.Row{}
	}
	r.cells = r.cells[:0]
	for i, text := range record {
		line, _ := r.csv.FieldPos(i)
		r.cells = append(r.cells, importers.Cell{Text: text, Row: line, Col: i + 1})
	}
	return importers.Row{Line: r.cells[0].Row, Cells: r.cells}
}
