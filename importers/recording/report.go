package recording

import (
	"endsmeet/stash"
	"fmt"
)

// Report is what came of the import of a table, as JSON says it. Rows counts all that were
// read, Packages and NewYarns what was recorded, Yarns those that the rows are of.
type Report struct {
	File      string     `json:"file"`
	Sheet     *string    `json:"sheet"`
	Encoding  *string    `json:"encoding"`
	Delimiter *string    `json:"delimiter"`
	Columns   []Column   `json:"columns"`
	DryRun    bool       `json:"dry_run"`
	Rows      int        `json:"rows"`
	Packages  int        `json:"items"`
	Yarns     int        `json:"yarns"`
	NewYarns  int        `json:"new_yarns"`
	Unchanged int        `json:"unchanged"`
	Corrected int        `json:"corrected"`
	BadRows   int        `json:"bad_rows"`
	Changed   []Change   `json:"changed"`
	Questions []Question `json:"questions"`
	Problems  []string   `json:"problems"`
	// Bad is what Problems has, for a reader: the same fault of many rows once.
	Bad error `json:"-"`
	// PassedOver are the lines of rows that add up others.
	PassedOver []int `json:"passed_over"`

	More      int `json:"-"` // questions beyond those kept
	Reweighed int `json:"-"` // items whose weight the sheet has changed
}

// Column is what a column was taken for; Field is null where its cells are notes.
type Column struct {
	Heading string  `json:"heading"`
	Field   *string `json:"field"`
}

// Change is a row that says something else than when it came in.
type Change struct {
	Line    int      `json:"line"`
	Package string   `json:"item"`
	Changes []string `json:"changes"`
}

// add adds the change of one fact.
func (c *Change) add(format string, args ...any) {
	c.Changes = append(c.Changes, fmt.Sprintf(format, args...))
}

// Question is what a person should settle, and a command for it.
type Question struct {
	Line    int     `json:"line"`
	Package *string `json:"item"`
	Text    string  `json:"question"`
	Command *string `json:"command"`
}

// TablesReport is what came in from the tables of a stash, as JSON says it.
type TablesReport struct {
	Folder   string `json:"folder"`
	Yarns    int    `json:"new_yarns"`
	Packages int    `json:"items"`
	Projects int    `json:"projects"`
	People   int    `json:"new_people"`
	// Events counts the events of a stash that came in whole, with its history.
	Events    int  `json:"events"`
	Unchanged int  `json:"unchanged"`
	DryRun    bool `json:"dry_run"`
}

// ArchiveReport is what came in from an archive of events, as JSON says it.
type ArchiveReport struct {
	File   string `json:"file"`
	Events int    `json:"events"`
	New    int    `json:"new"`
	Lanes  int    `json:"lanes"`
	DryRun bool   `json:"dry_run"`
}

// told is the report on a table, in full.
func (im *tableRun) told() Report {
	r, g := im.report, im.table.Grid
	r.File, r.Sheet, r.Encoding, r.Delimiter = g.File, stash.Known(g.Sheet), stash.Known(g.Encoding),
		stash.Known(g.Delimiter)
	r.DryRun, r.BadRows = im.o.DryRun, im.o.Bad.Problems.Rows
	for _, c := range im.table.Columns {
		r.Columns = append(r.Columns, Column{Heading: c.Heading, Field: stash.Known(c.Target().String())})
	}
	r.PassedOver = append([]int{}, im.table.Passed()...)
	r.Problems, r.Bad = []string{}, im.o.Bad.Problems.Err()
	for _, p := range im.o.Bad.Problems.List {
		r.Problems = append(r.Problems, p.Error())
	}
	r.Changed, r.Questions = append([]Change{}, r.Changed...), append([]Question{}, r.Questions...)
	return r
}
