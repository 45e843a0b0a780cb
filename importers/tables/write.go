package tables

import (
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Record is a subject with the facts that stand.
type Record[ID ~string] struct {
	ID    ID
	Facts stash.Fields
}

// The subjects that have a table of their facts.
type (
	Yarn    = Record[stash.YarnID]
	Project = Record[stash.ProjectID]
	Person  = Record[stash.PersonID]
)

// The tables that are read back begin with these headings.
const (
	yarnHead    = "yarn_id"
	packageHead = "item_id"
	projectHead = "project_id"
	settingHead = "setting"
	personHead  = "person_id"
	eventHead   = "event_id"
)

// forColumn is the field, and the column, of who a project is for.
const forColumn = "for"

// rulesColumn is the field, and the column, of a person's rules, as JSON.
const rulesColumn = "rules"

// fieldNames lists the fields of a kind of subject that are written: all but
// people, who stay private.
func fieldNames(what stash.What) []string {
	fields := stash.FieldsOf(what)
	names := make([]string, 0, len(fields))
	for i := range fields {
		if f := &fields[i]; f.Refers != stash.WhatPerson && f.Refers != stash.WhatYarn {
			names = append(names, f.Name)
		}
	}
	return names
}

// Yarns is the table of yarns.
func Yarns(yarns []Yarn) Table {
	t := Table{Name: "yarns", Head: append([]string{yarnHead}, fieldNames(stash.WhatYarn)...)}
	for _, y := range yarns {
		t.add(append([]string{string(y.ID)}, texts(stash.WhatYarn, y.Facts)...)...)
	}
	return t
}

func texts(what stash.What, facts stash.Fields) []string {
	names := fieldNames(what)
	out := make([]string, len(names))
	for i, name := range names {
		raw, stated := facts[name]
		if !stated {
			continue
		}
		if f, _ := stash.FieldOf(what, name); f.Refers != "" {
			out[i] = refText(raw)
		} else {
			out[i] = stash.ValueText(what, name, raw)
		}
	}
	return out
}

// refText writes references to yarns and packages by their ids.
func refText(raw json.RawMessage) string {
	var refs []stash.Ref
	if json.Unmarshal(raw, &refs) != nil {
		return ""
	}
	var words []string
	for _, r := range refs {
		if r.Package != "" {
			words = append(words, "item:"+string(r.Package))
		} else {
			words = append(words, "yarn:"+string(r.Yarn))
		}
	}
	return strings.Join(words, " ")
}

// Projects is the table of projects.
func Projects(projects []Project) Table {
	t := Table{Name: "projects",
		Head: append([]string{projectHead}, fieldNames(stash.WhatProject)...)}
	for _, b := range projects {
		t.add(append([]string{string(b.ID)}, texts(stash.WhatProject, b.Facts)...)...)
	}
	return t
}

// Settings is the table of the settings that were set.
func Settings(stated stash.Fields) Table {
	t := Table{Name: "settings", Head: []string{settingHead, "value"}}
	for _, f := range stash.FieldsOf(stash.WhatSettings) {
		if text := stash.ValueText(stash.WhatSettings, f.Name, stated[f.Name]); text != "" {
			t.add(f.Name, text)
		}
	}
	return t
}

// The columns of a package beside its fields. Those from received_g on are for
// people to read.
var packageColumns = []string{
	"row", "net_g", "reading", "scale_step_g", "arrived", "weighed", "lent_to", "lent", "retired",
	"received_g", "in_g", "used_g", "discarded_g", "given_g", "unexplained_g", "out_g", "length_m",
}

// The ways in which a package was weighed.
const (
	readGross = "gross" // with its tare
	readNet   = "net"
)

// Item is a package with the name of its yarn and the length that is left, zero
// where that is not known.
type Item struct {
	stash.Package
	Yarn   string
	Length measure.Length
}

// Packages is the table of packages, each of which is told of.
func Packages(each func(tell func(Item) error) error) Table {
	return Table{Name: "items",
		Head: append(append([]string{packageHead, "yarn", yarnHead},
			fieldNames(stash.WhatPackage)...), packageColumns...),
		More: func(tell func([]string) error) error {
			return each(func(p Item) error {
				row, err := packageRow(p)
				if err != nil {
					return err
				}
				return tell(row)
			})
		}}
}

func packageRow(p Item) ([]string, error) {
	facts, err := stash.FieldsFrom(p.PackageFacts)
	if err != nil {
		return nil, err
	}
	row := append([]string{string(p.ID), p.Yarn, string(p.PackageFacts.Yarn)},
		texts(stash.WhatPackage, facts)...)
	row = append(row, holdings(p.Package, facts)...)
	length := ""
	if p.Length != 0 {
		length = written.Decimal(int64(p.Length), 3)
	}
	return append(append(row, account(p.Account)...), length), nil
}

// holdings is what a package holds and where it is.
func holdings(p stash.Package, facts stash.Fields) []string {
	row := ""
	if p.Row != nil {
		row = "json:" + string(facts["row"])
	}
	out := []string{row, "", "", "", stamp(p.Arrived), stamp(p.Weighed), p.LentTo, stamp(p.LentAt),
		""}
	if p.Known {
		out[1], out[2] = grams(p.Held), readGross
		if p.OwnTare {
			out[2] = readNet
		}
		if p.Step != 0 {
			out[3] = grams(p.Step)
		}
	}
	if p.Retired {
		out[8] = stamp(p.Moved)
	}
	return out
}

func account(a stash.Account) []string {
	var out []string
	for _, m := range []measure.Mass{a.Received, a.In, a.Used, a.Discarded, a.Given,
		a.Unexplained, a.Out} {
		out = append(out, grams(m))
	}
	return out
}

// Pieces is the table of pieces, for people.
func Pieces(pieces []stash.Piece, projects map[stash.ProjectID]string) Table {
	t := Table{Name: "pieces", Head: []string{"piece_id", "name", "project", "state", "planned",
		"started", "ended", "ends", "picks", "width_m", "length_m", "warp_total_m", "weft_total_m",
		"note"}}
	for _, p := range pieces {
		row := []string{string(p.ID), p.Name, projects[p.Project], string(p.State),
			stamp(p.PlannedAt), stamp(p.StartedAt), stamp(p.EndedAt)}
		numbers := make([]string, 6)
		if p.Plan != nil {
			numbers = []string{strconv.Itoa(p.Plan.Ends), strconv.Itoa(p.Plan.Picks),
				metres(p.Plan.Width), metres(p.Plan.Length), metres(p.Plan.WarpTotal),
				metres(p.Plan.WeftTotal)}
		}
		note := ""
		if p.Finish != nil {
			note = p.Finish.Note
		}
		t.add(append(append(row, numbers...), note)...)
	}
	return t
}

// People is the table of people.
func People(people []Person) Table {
	t := Table{Name: "people", Head: append([]string{personHead, rulesColumn},
		fieldNames(stash.WhatPerson)...)}
	for _, p := range people {
		rules := ""
		if raw := p.Facts[rulesColumn]; len(raw) > 0 && string(raw) != "null" {
			rules = "json:" + string(raw)
		}
		t.add(append([]string{string(p.ID), rules}, texts(stash.WhatPerson, p.Facts)...)...)
	}
	return t
}

// For adds to a table of projects the column that says who each is for, which is
// private.
func (t *Table) For(projects []Project) {
	t.Head = append(t.Head, forColumn)
	for i, b := range projects {
		var id stash.PersonID
		if json.Unmarshal(b.Facts[forColumn], &id) == nil && id != "" {
			id = "person:" + id
		}
		t.Rows[i] = append(t.Rows[i], string(id))
	}
}

// stamp is a moment to the millisecond, empty where there is none.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2006-01-02T15:04:05.999Z07:00")
}

func grams(m measure.Mass) string { return written.Decimal(int64(m), 3) }

func metres(l measure.Length) string { return written.Decimal(int64(l), 3) }
