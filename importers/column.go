package importers

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash/written"
)

// Column is one column of a table and what it is taken for. An empty Field
// means that its cells are kept as notes under Heading.
type Column struct {
	Col      int    // from 1
	Heading  string // as the sheet has it
	Field    Field
	Unit     string        // as measure spells it; "" when cells have to say
	Basis    written.Basis // of a price
	Currency string        // of a price
	Given    bool          // by the mapping, not by name
}

// Target is what a column was taken for, as a mapping says it; nothing for notes.
func (c Column) Target() Target {
	t := Target{Field: c.Field, Unit: c.Unit}
	if c.Field == FieldPrice {
		t.Unit = string(c.Basis)
	}
	return t
}

// matchHeading takes one heading for a column: by the mapping, else by name
// with its unit, else as a note.
func matchHeading(col int, heading string, m Mapping) Column {
	c := Column{Col: col, Heading: strings.TrimSpace(heading)}
	w := words(heading)
	if target, ok := m.Columns[w]; ok {
		c.Given, c.Field = true, target.Field
		c.setUnit(target)
		if c.Unit == "" && c.Field != FieldPrice {
			c.Unit = fittingUnit(c.Field, w)
		}
		return c
	}
	c.byName(w)
	return c
}

func (c *Column) setUnit(t Target) {
	if t.Field == FieldPrice {
		c.Basis = written.Basis(t.Unit)
		return
	}
	c.Unit = t.Unit
}

// fittingUnit returns the unit that ends a heading, if the field may have it.
func fittingUnit(f Field, w string) string {
	if _, unit := splitUnit(w); takesUnit(f, unit) {
		return unit
	}
	return ""
}

// byName matches the heading's words, first as they are, then without a unit
// or a price's basis.
func (c *Column) byName(w string) {
	if rest, basis, currency := written.SplitBasis(w); (basis != "" || currency != "") &&
		fieldOf()[rest] == FieldPrice || fieldOf()[w] == FieldPrice {
		c.Field, c.Basis, c.Currency = FieldPrice, basis, currency
		if basis == "" {
			c.Basis = impliedBasis[rest]
		}
		return
	}
	if field, ok := fieldOf()[w]; ok {
		c.Field, c.Unit = field, impliedUnit(w, field)
		return
	}
	rest, unit := splitUnit(w)
	field, ok := fieldOf()[rest]
	if !ok || unit == "" {
		return
	}
	if field = massOrLength(field, unit); takesUnit(field, unit) {
		c.Field, c.Unit = field, unit
	}
}

// impliedBasis knows the headings whose own words say what a price is for.
var impliedBasis = map[string]written.Basis{"total price": written.InTotal,
	"total cost": written.InTotal, "unit price": written.PerPackage}

// impliedUnit knows the headings that name a unit and nothing else ("tex",
// "yards"), or a unit first ("yards per ball").
func impliedUnit(w string, f Field) string {
	if u, ok := headingUnits[w]; ok && takesUnit(f, u) {
		return u
	}
	for _, word := range strings.Fields(w) {
		if u, ok := headingUnits[word]; ok && len(word) > 2 && takesUnit(f, u) {
			return u
		}
	}
	return ""
}

// matchColumns matches a header's cells. It refuses headings that stand twice,
// and a mapping for a heading that is not there. Two headings for one field
// leave the field to the one that the mapping names, else to the one that
// bears the field's own name, else to the first; the others become notes, and
// the returned notes say so.
func matchColumns(headings []Cell, m Mapping) (columns []Column, notes []string,
	problems []*Problem) {
	seen := make(map[string]Cell)
	for _, cell := range headings {
		w := words(cell.Text)
		if first, twice := seen[w]; twice && w != "" {
			problems = append(problems, &Problem{Line: cell.Row, Column: cell.Col,
				Header: cell.Text,
				Reason: fmt.Sprintf("the heading is there twice, first in column %d", first.Col),
				Hint:   "give each column a heading of its own"})
			continue
		}
		seen[w] = cell
		columns = append(columns, matchHeading(cell.Col, cell.Text, m))
	}
	for _, w := range sortedKeys(m.Columns) {
		if _, ok := seen[w]; !ok {
			problems = append(problems,
				&Problem{Header: w, Reason: "the mapping names a heading that is not there",
					Hint: "the headings are " + headingList(columns)})
		}
	}
	notes = onePerField(columns)
	return columns, notes, append(problems, doubtfulMass(columns)...)
}

func sortedKeys(m map[string]Target) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func headingList(columns []Column) string {
	var list []string
	for _, c := range columns {
		if c.Heading != "" {
			list = append(list, quote(c.Heading))
		}
	}
	return strings.Join(list, ", ")
}

// shared are the fields that several columns may feed.
var shared = []Field{FieldNote, FieldFlags}

// onePerField turns all but one column of a field into notes.
func onePerField(columns []Column) (notes []string) {
	best := make(map[Field]int)
	rank := func(c Column) int {
		own, _ := splitUnit(words(c.Heading))
		switch {
		case c.Given:
			return 2
		case own == words(string(c.Field)):
			return 1
		}
		return 0
	}
	for i, c := range columns {
		if j, ok := best[c.Field]; c.Field != "" && (!ok || rank(c) > rank(columns[j])) {
			best[c.Field] = i
		}
	}
	for i := range columns {
		c := &columns[i]
		if c.Field == "" || best[c.Field] == i || slices.Contains(shared, c.Field) {
			continue
		}
		notes = append(notes, fmt.Sprintf("%s is kept as a note, since %s already gives %s",
			quote(c.Heading), quote(columns[best[c.Field]].Heading), c.Field))
		c.Field = ""
	}
	return notes
}

// plainMassWords are headings that do not say whether a cone is weighed with
// the yarn.
var plainMassWords = []string{"weight", "mass", "wt", "total weight", "total mass"}

// asShown takes a plain "weight" for what a scale showed, cone and all, and numbers
// without a unit to be in the one that was said.
func asShown(columns []Column, unit string) {
	for i, c := range columns {
		if c.Unit == "" && (c.Field == FieldGross || c.Field == FieldNet) {
			columns[i].Unit = unit
		}
		w, _ := splitUnit(words(c.Heading))
		if c.Field == FieldNet && !c.Given && slices.Contains(plainMassWords, w) {
			columns[i].Field = FieldGross
		}
	}
}

// doubtfulMass asks about "weight" beside "tare": it could be either.
func doubtfulMass(columns []Column) (problems []*Problem) {
	has := func(f Field) bool {
		return slices.ContainsFunc(columns, func(c Column) bool { return c.Field == f })
	}
	if !has(FieldTare) || has(FieldGross) {
		return nil
	}
	for _, c := range columns {
		w, _ := splitUnit(words(c.Heading))
		if c.Field == FieldNet && !c.Given && slices.Contains(plainMassWords, w) {
			problems = append(problems, &Problem{Column: c.Col, Header: c.Heading,
				Reason: "with a tare beside it, this can be the weight with or without the cone",
				Hint:   fmt.Sprintf("map it: %q or %q", c.Heading+"=gross", c.Heading+"=net")})
		}
	}
	return problems
}
