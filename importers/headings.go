package importers

import (
	"maps"
	"slices"
	"strings"
	"sync"
	"unicode"

	"endsmeet/stash"
)

// Field names one thing that a column can hold: a fact of the stash by its name, if
// the table of facts gives it headings, or a reading, which only sheets have.
type Field string

// The facts that sheets say in words or units of their own. Any other is read as
// `endsmeet set` would.
const (
	FieldName         Field = "name"
	FieldColour       Field = "colour"
	FieldFibre        Field = "fibre"
	FieldConstruction Field = "construction" // plies, finish, what the label says
	FieldCount        Field = "count"
	FieldForm         Field = "form" // cone, ball, "2 skeins (91 g, 102 g)"
	FieldTare         Field = "tare"
	FieldLot          Field = "lot"
	FieldBin          Field = "bin"
	FieldAcquired     Field = "acquired"
	FieldPrice        Field = "price" // per mass, package or total
	FieldFit          Field = "fit"   // also "yes", "no: weft"
	FieldShedding     Field = "shedding"
	FieldWash         Field = "wash"
	FieldNote         Field = "note"
)

// The readings. What a column holds beyond facts and readings is kept as a note.
const (
	FieldID          Field = "id"           // the sheet's own number of the row
	FieldMaker       Field = "maker"        // spinner or label
	FieldCountSource Field = "count-source" // where the grist comes from
	FieldLabelMass   Field = "label-weight" // of one package as sold
	FieldLabelLength Field = "label-length" // of one package as sold
	FieldPutUp       Field = "put-up"       // "125 m / 50 g" of one package as sold
	FieldPackages    Field = "items"        // how many, "3.5 balls"
	FieldGross       Field = "gross"        // mass with cone or tube
	FieldNet         Field = "net"          // mass of the yarn
	FieldLength      Field = "length"       // length of what there is
	FieldDoubt       Field = "doubt"        // plus or minus of the length, percent
	FieldFlags       Field = "flags"        // list of words
	FieldWeighed     Field = "weighed"      // the day on which it was weighed
)

// TagHeading is the heading, and the word in a mapping, of a column that holds the
// tags of this stash: a tag that is there is that package.
const TagHeading = "tag"

// readings lists what people head the columns of readings with, as the table of
// facts does for facts. Spelt as words() spells them.
var readings = map[Field][]string{
	FieldID: {"no", "nr", "number", "item", "item no", "item number", "ref",
		"reference", "key", "code", "stash id", "yarn id", "sku", "#", TagHeading},
	FieldMaker: {"brand", "spinner", "mill", "manufacturer", "company", "producer",
		"made by", "dyer", "supplier"},
	FieldCountSource: {"grist source", "source of count", "source of grist",
		"grist from", "count from", "how measured"},
	FieldLabelMass: {"label mass", "label mass each", "put up mass",
		"put up weight", "ball weight", "skein weight", "ball band weight", "mass per ball",
		"weight per ball", "weight per skein", "unit weight", "nominal weight", "weight each",
		"mass each", "ball size", "package weight", "package mass"},
	FieldLabelLength: {"put up length", "length per ball", "length per skein",
		"ball length", "skein length", "yards per ball", "yards per skein", "metres per ball",
		"meters per ball", "metres per skein", "meters per skein", "yardage per ball",
		"yardage per skein", "ball band length", "length each", "unit length", "package length",
		"label yardage"},
	FieldPutUp: {"putup", "label", "ball band", "as sold", "label says", "band"},
	FieldPackages: {"packages", "quantity", "qty", "amount", "how many", "how much", "balls",
		"skeins", "cones", "units", "pieces", "number of balls", "number of skeins", "stock",
		"on hand", "have", "in stash", "balls left", "no of balls", "left"},
	FieldGross: {"gross weight", "gross mass", "weight with cone",
		"total weight with cone", "cone and yarn", "weight incl cone", "weight including cone",
		"on the scale", "scale", "reading", "scale reading"},
	FieldNet: {"net weight", "net mass", "mass", "weight", "wt", "yarn weight",
		"yarn mass", "weight left", "mass left", "remaining", "remaining weight", "total weight",
		"total mass", "weight without cone"},
	FieldLength: {"total length", "est length", "estimated length", "length left",
		"remaining length", "total yardage", "metres left", "meters left", "yards left",
		"total metres", "total meters", "total yards", "yards", "metres", "meters", "metrage"},
	FieldWeighed: {"weighed on", "date weighed", "last weighed", "weighing date",
		"weight date"},
	FieldDoubt: {"plus minus", "uncertainty", "error", "accuracy"},
	FieldFlags: {"flag", "warnings", "warning", "tags", "caution", "cautions",
		"allergens", "beware"},
}

// headed is a field with the headings that mean it, beside its name.
type headed struct {
	what     stash.What // of a fact
	headings []string
}

// fields are all that a column can hold. A heading under two of them is a fault
// that a test finds.
var fields = sync.OnceValue(func() map[Field]headed {
	m := make(map[Field]headed)
	for _, what := range []stash.What{stash.WhatYarn, stash.WhatPackage} {
		for _, f := range stash.FieldsOf(what) {
			if len(f.Headings) > 0 {
				m[Field(f.Name)] = headed{what, f.Headings}
			}
		}
	}
	for field, headings := range readings {
		m[field] = headed{headings: headings}
	}
	return m
})

// fieldOf maps the words of a heading to its field.
var fieldOf = sync.OnceValue(func() map[string]Field {
	m := make(map[string]Field, 20*len(fields()))
	for field, h := range fields() {
		m[words(string(field))] = field
		for _, w := range h.headings {
			m[w] = field
		}
	}
	return m
})

// fieldNames lists all fields in the order of the alphabet.
func fieldNames() []Field {
	return slices.Sorted(maps.Keys(fields()))
}

// parseField returns the field that a name or one of its synonyms means.
func parseField(name string) (Field, bool) {
	if f := Field(strings.ToLower(strings.TrimSpace(name))); fields()[f].headings != nil {
		return f, true
	}
	f, ok := fieldOf()[words(name)]
	return f, ok
}

// words spells a heading as lower-case words with single spaces between them:
// "Dye-Lot No." and "dye_lot_no" are both "dye lot no"; "GrossWeight" is two
// words. A slash and a number sign stay, since "yd/lb" and "#" mean something.
func words(heading string) string {
	var b strings.Builder
	lower, gap := false, false
	for _, r := range heading {
		letter := unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Sc, r) || strings.ContainsRune("/#%", r)
		if !letter {
			gap, lower = true, false
			continue
		}
		if (gap || lower && unicode.IsUpper(r)) && b.Len() > 0 {
			b.WriteByte(' ')
		}
		gap, lower = false, unicode.IsLower(r)
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
