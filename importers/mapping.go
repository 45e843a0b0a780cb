package importers

import (
	"fmt"
	"strings"

	"endsmeet/stash/written"
)

// Target is what a column is taken for: a field and, for quantities and
// prices, the unit of the numbers in it. It is written FIELD or FIELD:UNIT,
// as in "net:oz", "count:yd/lb", "price:100 g".
type Target struct {
	Field Field
	Unit  string
}

// String returns FIELD or FIELD:UNIT.
func (t Target) String() string {
	if t.Unit == "" {
		return string(t.Field)
	}
	return string(t.Field) + ":" + t.Unit
}

// MarshalText writes the target as String does.
func (t Target) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (t *Target) UnmarshalText(text []byte) (err error) {
	*t, err = parseTarget(string(text))
	return err
}

// parseTarget reads "mass:g". The field may be a synonym, the unit any
// spelling that a heading may have. The error says which fields or units there
// are.
func parseTarget(text string) (Target, error) {
	name, unit, _ := strings.Cut(text, ":")
	field, ok := parseField(name)
	if !ok {
		return Target{}, fmt.Errorf("%s is no field; the fields are %s", quote(name), fieldList())
	}
	if strings.TrimSpace(unit) == "" {
		return Target{Field: field}, nil
	}
	if field == FieldPrice {
		return priceTarget(unit)
	}
	spelt, ok := headingUnits[words(unit)]
	if !ok {
		spelt = strings.TrimSpace(unit)
	}
	field = massOrLength(field, spelt)
	if !takesUnit(field, spelt) {
		return Target{}, fmt.Errorf("%s can't be in %s; it takes: %s", field, quote(unit),
			unitList(field))
	}
	return Target{Field: field, Unit: spelt}, nil
}

func priceTarget(unit string) (Target, error) {
	if b, ok := written.BasisOf(strings.TrimPrefix(words(unit), "per ")); ok {
		return Target{Field: FieldPrice, Unit: string(b)}, nil
	}
	return Target{}, fmt.Errorf("a price can't be per %s; it takes: 100 g, kg, lb, oz, item, total", quote(unit))
}

func fieldList() string {
	var names []string
	for _, f := range fieldNames() {
		names = append(names, string(f))
	}
	return strings.Join(names, ", ")
}

func unitList(f Field) string {
	if units := fieldUnits(f); units != nil {
		return strings.Join(units, ", ")
	}
	return "no unit"
}

// Mapping says, for one kind of sheet, what its columns are taken for, and how
// it is read. It is kept as JSON under its name. Headings not listed are
// matched by name.
type Mapping struct {
	Name    string            `json:"name,omitempty"`
	Sheet   string            `json:"sheet,omitempty"`
	Decimal string            `json:"decimal,omitempty"` // "point", "comma" or "" to find out
	Columns map[string]Target `json:"columns,omitempty"` // key: the heading's words in lower case
}

// Add takes one HEADING=FIELD[:UNIT], as in "weight=mass:g". The last equals
// sign divides. A heading given twice is refused.
func (m *Mapping) Add(text string) error {
	i := strings.LastIndexByte(text, '=')
	if i <= 0 || words(text[:i]) == "" {
		return fmt.Errorf("%s is no mapping; write HEADING=FIELD or HEADING=FIELD:UNIT, as in \"weight=net:g\"", quote(text))
	}
	target, err := parseTarget(text[i+1:])
	if err != nil {
		return err
	}
	key := words(text[:i])
	if before, ok := m.Columns[key]; ok && before != target {
		return fmt.Errorf("the heading %s is mapped twice: %s and %s", quote(text[:i]), before,
			target)
	}
	if m.Columns == nil {
		m.Columns = make(map[string]Target)
	}
	m.Columns[key] = target
	return nil
}

// Reset takes a mapping read from JSON and spells its headings as Add does, so
// that a file edited by hand works.
func (m *Mapping) Reset() {
	columns := make(map[string]Target, len(m.Columns))
	for heading, target := range m.Columns {
		columns[words(heading)] = target
	}
	m.Columns = columns
}
