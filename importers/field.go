package importers

import (
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
)

// Field names one thing that a column can hold, in the words of the stash.
type Field string

// The fields. What a column holds beyond them is kept as a note.
const (
	FieldID           Field = "id"           // the sheet's own number of the row
	FieldName         Field = "name"         // the yarn
	FieldMaker        Field = "maker"        // spinner or label
	FieldColour       Field = "colour"       //
	FieldFibre        Field = "fibre"        // content as text
	FieldConstruction Field = "construction" // plies, finish, what the label says
	FieldCount        Field = "count"        // grist in any unit
	FieldCountSource  Field = "count-source" // where the grist comes from
	FieldLabelMass    Field = "label-mass"   // of one package as sold
	FieldLabelLength  Field = "label-length" // of one package as sold
	FieldPutUp        Field = "put-up"       // "125 m / 50 g" of one package as sold
	FieldForm         Field = "form"         // cone, ball, "2 skeins (91 g, 102 g)"
	FieldPackages     Field = "packages"     // how many, "3.5 balls"
	FieldGross        Field = "gross"        // mass with cone or tube
	FieldTare         Field = "tare"         // mass of the empty cone or tube
	FieldNet          Field = "net"          // mass of the yarn
	FieldLength       Field = "length"       // length of what there is
	FieldDoubt        Field = "doubt"        // plus or minus of the length, percent
	FieldLot          Field = "lot"          // dye lot
	FieldBin          Field = "bin"          // where it is kept
	FieldAcquired     Field = "acquired"     // date, also partial
	FieldPrice        Field = "price"        // per mass, package or total
	FieldWarp         Field = "warp"         // fit for warp
	FieldShedding     Field = "shedding"     // 0 to 3
	FieldCare         Field = "care"         //
	FieldFlags        Field = "flags"        // list of words
	FieldNotes        Field = "notes"        //
)

// TagHeading is the heading, and the word in a mapping, of a column that holds the
// tags of this stash: a tag that is there is that package.
const TagHeading = "tag"

// synonyms lists what people head their columns with. English trade words,
// common practice, no source. Spelt as words() spells them.
var synonyms = map[Field][]string{
	FieldID: {"id", "no", "nr", "number", "item", "item no", "item number", "ref",
		"reference", "key", "code", "stash id", "yarn id", "sku", "#", TagHeading},
	FieldName: {"name", "yarn", "yarn name", "title", "product", "base", "quality",
		"description", "what", "yarn type", "yarn line", "article"},
	FieldMaker: {"maker", "brand", "spinner", "mill", "manufacturer", "company", "producer",
		"made by", "dyer", "supplier"},
	FieldColour: {"colour", "color", "colourway", "colorway", "shade", "hue", "colour name",
		"color name", "col"},
	FieldFibre: {"fibre", "fiber", "fibres", "fibers", "content", "fibre content",
		"fiber content", "composition", "material", "blend", "made of", "what it is made of"},
	FieldConstruction: {"construction", "ply", "plies", "structure", "spin", "twist",
		"yarn construction", "type", "finish"},
	FieldCount: {"count", "grist", "yarn count", "size", "thickness", "tex", "dtex",
		"denier", "den", "yardage", "yarn number", "nm", "ne", "ypp", "linear density", "yarn size",
		"yards per pound", "metres per kilo", "meters per kilo", "metreage", "meterage"},
	FieldCountSource: {"count source", "grist source", "source of count", "source of grist",
		"grist from", "count from", "how measured"},
	FieldLabelMass: {"label mass", "label weight", "label mass each", "put up mass",
		"put up weight", "ball weight", "skein weight", "ball band weight", "mass per ball",
		"weight per ball", "weight per skein", "unit weight", "nominal weight", "weight each",
		"mass each", "ball size", "package weight", "package mass"},
	FieldLabelLength: {"label length", "put up length", "length per ball", "length per skein",
		"ball length", "skein length", "yards per ball", "yards per skein", "metres per ball",
		"meters per ball", "metres per skein", "meters per skein", "yardage per ball",
		"yardage per skein", "ball band length", "length each", "unit length", "package length",
		"label yardage"},
	FieldPutUp: {"put up", "putup", "label", "ball band", "as sold", "label says", "band"},
	FieldForm: {"form", "package", "package type", "put up form", "format", "kind",
		"wound as", "held as"},
	FieldPackages: {"packages", "quantity", "qty", "amount", "how many", "how much", "balls",
		"skeins", "cones", "units", "pieces", "number of balls", "number of skeins", "stock",
		"on hand", "have", "in stash", "balls left", "no of balls", "left"},
	FieldGross: {"gross", "gross weight", "gross mass", "weight with cone",
		"total weight with cone", "cone and yarn", "weight incl cone", "weight including cone",
		"on the scale", "scale", "reading", "scale reading"},
	FieldTare: {"tare", "tare weight", "tare mass", "cone weight", "cone mass",
		"empty weight", "empty cone", "tube weight", "weight of cone", "core"},
	FieldNet: {"net", "net weight", "net mass", "mass", "weight", "wt", "yarn weight",
		"yarn mass", "weight left", "mass left", "remaining", "remaining weight", "total weight",
		"total mass", "weight without cone"},
	FieldLength: {"length", "total length", "est length", "estimated length", "length left",
		"remaining length", "total yardage", "metres left", "meters left", "yards left",
		"total metres", "total meters", "total yards", "yards", "metres", "meters", "metrage"},
	FieldDoubt: {"plus minus", "uncertainty", "doubt", "error", "accuracy"},
	FieldLot: {"lot", "dye lot", "dyelot", "dye batch", "batch", "lot no", "lot number",
		"dye lot no", "dye lot number", "bath", "dye bath"},
	FieldBin: {"bin", "where", "location", "place", "shelf", "box", "drawer", "storage",
		"stored", "stored in", "kept", "where kept", "kept in", "container"},
	FieldAcquired: {"acquired", "bought", "date bought", "purchased", "purchase date", "date",
		"date acquired", "when", "when bought", "date purchased", "year", "got", "since",
		"bought on"},
	FieldPrice: {"price", "cost", "paid", "price paid", "total price", "total cost", "value",
		"unit price", "price each"},
	FieldWarp: {"warp", "warp use", "warp ok", "ok for warp", "good for warp", "for warp",
		"use as warp", "use"},
	FieldShedding: {"shedding", "shed", "sheds", "shed 0 3", "lint", "fluff", "shedding 0 3"},
	FieldCare: {"care", "washing", "wash", "care instructions", "laundering", "wash care",
		"wash at"},
	FieldFlags: {"flags", "flag", "warnings", "warning", "tags", "caution", "cautions",
		"allergens", "beware"},
	FieldNotes: {"notes", "note", "comments", "comment", "remarks", "remark", "memo"},
}

// plainFacts are the facts of the stash that a column can hold as a person would
// type them: those of its table that name headings of sheets.
var plainFacts = func() map[Field]stash.What {
	m := make(map[Field]stash.What)
	for _, what := range []stash.What{stash.WhatYarn, stash.WhatPackage} {
		for _, f := range stash.FieldsOf(what) {
			if len(f.Headings) > 0 {
				m[Field(f.Name)] = what
				synonyms[Field(f.Name)] = f.Headings
			}
		}
	}
	return m
}()

// fieldOf maps the words of a heading to its field. Built once from synonyms;
// a heading under two fields is a fault that a test finds.
var fieldOf = func() map[string]Field {
	m := make(map[string]Field, len(synonyms)+len(plainFacts))
	for field, words := range synonyms {
		m[string(field)] = field
		for _, w := range words {
			m[w] = field
		}
	}
	return m
}()

// Fields lists all fields in the order of the alphabet.
func Fields() []Field {
	list := make([]Field, 0, len(synonyms))
	for f := range synonyms {
		list = append(list, f)
	}
	slices.Sort(list)
	return list
}

// ParseField returns the field that a name or one of its synonyms means.
func ParseField(name string) (Field, bool) {
	if f := Field(strings.ToLower(strings.TrimSpace(name))); synonyms[f] != nil {
		return f, true
	}
	f, ok := fieldOf[words(name)]
	return f, ok
}

// words spells a heading as lower-case words with single spaces between them:
// "Dye-Lot No." and "dye_lot_no" are both "dye lot no"; "GrossWeight" is two
// words. A slash and a number sign stay, since "yd/lb" and "#" mean something.
func words(heading string) string {
	var b strings.Builder
	lower, gap := false, false
	for _, r := range heading {
		letter := unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("/#%£$€", r)
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
