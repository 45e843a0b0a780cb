package importers

import (
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Note is what a cell said beyond its field, or the cell of a column that has
// none. Heading is the column's heading.
type Note struct {
	Heading string `json:"heading"`
	Text    string `json:"text"`
}

// Fact is a fact of the stash as a row states it.
type Fact struct {
	Of    stash.What
	Name  string
	Value json.RawMessage
}

// Warp is whether a row's yarn is fit for warp.
type Warp string

// Answers to whether a yarn is fit for warp; the empty one is not recorded.
const (
	WarpYes  Warp = "yes"
	WarpCare Warp = "care" // under a condition, which is kept in WarpText
	WarpNo   Warp = "no"
)

// Record is one row in the terms of the stash. A nil pointer, an empty text
// and a zero Count are "not recorded".
type Record struct {
	Line     int      `json:"line"`
	Identity Identity `json:"identity"`

	Ref          string `json:"ref,omitempty"` // the sheet's own number of the row
	Name         string `json:"name"`
	Maker        string `json:"maker,omitempty"`
	Colour       string `json:"colour,omitempty"`
	Fibre        string `json:"fibre,omitempty"` // as written
	Construction string `json:"construction,omitempty"`

	// Content is Fibre as understood; nil when it is not, and the Record then
	// carries a question. Records may share it: nobody may change it.
	Content fibre.Content `json:"content,omitempty"`

	Count       measure.Reading `json:"count"`
	CountSource string          `json:"count_source,omitempty"` // as written
	LabelMass   *measure.Mass   `json:"label_mg,omitempty"`     // of one package as sold
	LabelLength *measure.Length `json:"label_mm,omitempty"`     // of one package as sold
	Weighed     string          `json:"weighed,omitempty"`      // the day of its weighing
	Doubt       *measure.Ratio  `json:"doubt_ppm,omitempty"`    // plus or minus of the length
	Within      measure.Mass    `json:"within_mg,omitempty"`    // plus or minus of the weight
	TareWithin  measure.Mass    `json:"tare_within_mg,omitempty"`

	Packages Packages        `json:"packages"`
	Gross    *measure.Mass   `json:"gross_mg,omitempty"`
	Tare     *measure.Mass   `json:"tare_mg,omitempty"`
	Net      *measure.Mass   `json:"net_mg,omitempty"` // of all packages of the row
	Length   *measure.Length `json:"length_mm,omitempty"`

	Lot      string         `json:"lot,omitempty"`
	Bin      string         `json:"bin,omitempty"`
	Acquired *written.Date  `json:"acquired,omitempty"`
	Price    *written.Price `json:"price,omitempty"`
	Warp     Warp           `json:"warp,omitempty"`
	WarpText string         `json:"warp_text,omitempty"` // as written
	Shedding *int           `json:"shedding,omitempty"`  // 0 to 3
	Care     string         `json:"care,omitempty"`
	Flags    []string       `json:"flags,omitempty"`
	Notes    []Note         `json:"notes,omitempty"`

	// Facts are what columns say of facts that have no place above, by their names
	// once the row is read.
	Facts []Fact `json:"-"`

	// Questions are what a person should settle; the row is good without.
	Questions []string `json:"questions,omitempty"`
}

// note keeps text under a heading.
func (r *Record) note(heading, text string) {
	if text != "" {
		r.Notes = append(r.Notes, Note{Heading: heading, Text: text})
	}
}

// State adds what the row says of plain facts of a kind of subject to its others.
func (r *Record) State(of stash.What, fields stash.Fields) {
	for _, f := range r.Facts {
		if f.Of == of {
			fields[f.Name] = f.Value
		}
	}
}
