package importers

import (
	"slices"
	"strings"
)

// unitPercent is the unit of a doubt.
const unitPercent = "%"

// headingUnits maps the words of a unit in a heading to its spelling in
// measure. Longest first is found by splitUnit.
var headingUnits = map[string]string{
	"mg": "mg", "g": "g", "gm": "g", "gms": "g", "gram": "g", "grams": "g", "gramme": "g",
	"grammes": "g",
	"kg":      "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
	"oz": "oz", "ozs": "oz", "ounce": "oz", "ounces": "oz", "lb": "lb", "lbs": "lb", "pound": "lb",
	"pounds": "lb",
	"m":      "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m",
	"mtrs": "m",
	"cm":   "cm", "mm": "mm", "km": "km",
	"y": "yd", "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd", "ft": "ft", "feet": "ft",
	"in": "in", "inch": "in", "inches": "in",
	"m per kg": "m/kg", "m/kg": "m/kg", "metres per kg": "m/kg", "meters per kg": "m/kg",
	"metres per kilo": "m/kg", "meters per kilo": "m/kg", "metres/kg": "m/kg",
	"yd/lb": "yd/lb", "yds/lb": "yd/lb", "yd per lb": "yd/lb", "yds per lb": "yd/lb",
	"yards per lb": "yd/lb", "yards per pound": "yd/lb", "yards/pound": "yd/lb",
	"yards/lb": "yd/lb", "ypp": "yd/lb",
	"m/100g": "m/100g", "m per 100g": "m/100g", "m/100 g": "m/100g", "m per 100 g": "m/100g",
	"metres per 100g": "m/100g",
	"tex":             "tex", "dtex": "dtex", "den": "den", "denier": "den", "nm": "Nm", "ne": "Ne",
	"nec": "Ne", "new": "NeW", "lea": "lea",
	"pct": unitPercent, "percent": unitPercent, "per cent": unitPercent, "%": unitPercent,
}

// splitUnit cuts a unit from the end of a heading's words: "weight oz" is
// "weight" and "oz", "grist m per kg" is "grist" and "m/kg". A heading that is
// nothing but a unit is left whole.
func splitUnit(heading string) (rest, unit string) {
	parts := strings.Fields(heading)
	for n := min(4, len(parts)-1); n >= 1; n-- {
		tail := strings.Join(parts[len(parts)-n:], " ")
		if u, ok := headingUnits[tail]; ok {
			rest = strings.Join(parts[:len(parts)-n], " ")
			return strings.TrimSuffix(rest, " in"), u
		}
	}
	return heading, ""
}

// fieldUnits says which units a field may carry; a field without a line takes none.
func fieldUnits(f Field) []string {
	switch f {
	case FieldGross, FieldTare, FieldNet, FieldLabelMass:
		return []string{"mg", "g", "kg", "oz", "lb"}
	case FieldLength, FieldLabelLength:
		return []string{"mm", "cm", "m", "km", "in", "ft", "yd"}
	case FieldCount:
		return []string{"m/kg", "yd/lb", "m/100g", "tex", "dtex", "den", "Nm", "Ne", "NeW", "lea"}
	case FieldDoubt:
		return []string{unitPercent}
	}
	return nil
}

// takesUnit reports whether field f may be given in unit.
func takesUnit(f Field, unit string) bool { return slices.Contains(fieldUnits(f), unit) }

// massOrLength turns "net" into "length" and the other way about when the unit
// says so: a column "left (yd)" is a length.
func massOrLength(f Field, unit string) Field {
	swap := map[Field]Field{FieldNet: FieldLength, FieldLength: FieldNet,
		FieldLabelMass: FieldLabelLength, FieldLabelLength: FieldLabelMass}
	other, ok := swap[f]
	if ok && !takesUnit(f, unit) && takesUnit(other, unit) {
		return other
	}
	if f == FieldPackages && takesUnit(FieldNet, unit) {
		return FieldNet
	}
	if f == FieldPackages && takesUnit(FieldLength, unit) {
		return FieldLength
	}
	return f
}
