package ods

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"

	"endsmeet/importers"
)

// Limits of a spreadsheet.
const (
	maxFile    = 256 << 20 // of the file as it is packed
	maxColumn  = 1000      // used columns
	maxSheet   = 1 << 20   // number of a column, used or not; programs stop at 16384
	maxRepeats = 10_000    // of a row with text
	maxRow     = 1 << 30   // number of a row; programs stop at 1048576 or a little above
	maxTables  = 10_000    // and styles that hide one
)

// Spreadsheet is an open spreadsheet.
type Spreadsheet struct {
	path   string
	zip    *zip.ReadCloser
	part   *zip.File
	tables importers.Sheets
	budget *importers.Budget
}

// Open opens a spreadsheet and lists its tables. The error is a
// *importers.Problem or the system's.
func Open(path string) (*Spreadsheet, error) {
	if err := importers.CheckFile(path, maxFile); err != nil {
		return nil, err
	}
	z, err := zip.OpenReader(path)
	if err != nil {
		return nil, importers.NoZip(path, ".ods spreadsheet")
	}
	s := &Spreadsheet{path: path, zip: z, budget: importers.NewBudget()}
	if err := s.open(); err != nil {
		z.Close() // the first error is the one to tell
		return nil, importers.Locate(err, path, "")
	}
	return s, nil
}

func (s *Spreadsheet) open() error {
	for _, f := range s.zip.File {
		switch {
		case f.Name == "content.xml":
			s.part = f
		case f.Name == "encrypted-package", f.Name == "META-INF/manifest.xml" && locked(f):
			return &importers.Problem{Reason: "the spreadsheet is encrypted",
				Hint: "open it with its password and save it without one"}
		}
	}
	if s.part == nil {
		return &importers.Problem{Reason: "a zip archive, but no .ods spreadsheet",
			Hint: "if it is an Excel workbook, name it .xlsx; else save it again as .ods"}
	}
	return s.list()
}

// locked says whether the list of parts tells that any is encrypted (ODF 1.3,
// part 2, 3.4.1).
func locked(list *zip.File) bool {
	in, err := list.Open()
	if err != nil {
		return false
	}
	defer in.Close()
	for tokens := importers.NewTokens(in, importers.NewBudget()); ; {
		token, err := tokens.Next()
		if err != nil {
			return false
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "encryption-data" {
			return true
		}
	}
}

// Close closes the spreadsheet.
func (s *Spreadsheet) Close() error { return s.zip.Close() }

// Sheets lists the names of the tables in the spreadsheet's order, hidden ones too.
func (s *Spreadsheet) Sheets() []string { return s.tables.Names() }

// Grid returns a table as a grid, which is good until Close. The error is a
// *importers.Problem.
func (s *Spreadsheet) Grid(name string) (*importers.Grid, error) {
	return s.tables.Grid(s.path, name, s.rows)
}

// content is the unpacked content, read within its limit.
type content struct {
	*importers.Tokens
	in io.ReadCloser
}

func (s *Spreadsheet) content() (*content, error) {
	in, err := s.part.Open()
	if err != nil {
		return nil, broken(err)
	}
	return &content{importers.NewTokens(in, s.budget), in}, nil
}

// errTables is the limit of tables, as an error.
var errTables = fmt.Errorf("it has more than %d tables", maxTables)

func broken(err error) *importers.Problem {
	p := &importers.Problem{Reason: "the content is damaged: " + err.Error(),
		Hint: "open it in a spreadsheet program and save it again", Fatal: true}
	if importers.BeyondLimit(err) || errors.Is(err, errTables) {
		p.Reason, p.Hint = err.Error(), "copy the table into a new spreadsheet, or export it as CSV"
	}
	return p
}

// list finds the tables and reads the content through, so that damage anywhere
// in it is told before a row is taken.
func (s *Spreadsheet) list() error {
	c, err := s.content()
	if err != nil {
		return err
	}
	defer c.in.Close()
	l := listing{hidden: map[string]bool{}}
	for {
		token, err := c.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return broken(err)
		}
		l.read(token)
		if len(l.tables) > maxTables || len(l.hidden) > maxTables {
			return broken(errTables)
		}
	}
	if len(l.tables) == 0 {
		return &importers.Problem{Reason: "the spreadsheet has no table",
			Hint: "check that it is a spreadsheet, and save it again as .ods"}
	}
	s.tables = l.tables
	return nil
}

// listing is what is read of the tables of a spreadsheet: the styles that hide, and the tables.
type listing struct {
	hidden map[string]bool
	style  string
	depth  int
	tables importers.Sheets
}

func (l *listing) read(token xml.Token) {
	switch e := token.(type) {
	case xml.StartElement:
		switch e.Name.Local {
		case "style":
			l.style = attr(e, "name")
		case "table-properties":
			if attr(e, "display") == "false" {
				l.hidden[l.style] = true
			}
		case "table":
			if l.depth++; l.depth == 1 {
				l.tables = append(l.tables, importers.Sheet{Name: attr(e, "name"),
					Hidden: l.hidden[attr(e, "style-name")]})
			}
		}
	case xml.EndElement:
		if e.Name.Local == "table" {
			l.depth--
		}
	}
}

// attr returns an attribute by its local name. The names that are asked for
// stand in one namespace only on the elements that are looked at.
func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
