package stash

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/agext/levenshtein"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Field is one fact that can be stated of a subject.
type Field struct {
	Name string
	// Help is an example of what may be written.
	Help string
	// Refers names the kind of subject that the value refers to; such a value
	// is resolved by the caller, and Parse is nil.
	Refers What
	// Many says that the value is a list of references.
	Many bool
	// Words are all that may be written, where those are few; the list is for
	// showing, Parse decides.
	Words []string
	// Dated says that the value is a date, which may be told from today.
	Dated bool
	// Wound says that what is wound or cut off a package has it too.
	Wound bool
	// Headings are what people head a column with that holds it, beside its name,
	// for facts that sheets are read for word by word.
	Headings []string
	// Parse reads what a person wrote into the JSON form of the value.
	Parse func(string) (any, error)
}

// ValueError says what is wrong with the value of a field and what to do.
type ValueError struct {
	Field, Value, Problem, Hint string
}

// Error gives one line with the remedy in brackets; a long value is cut short.
func (e *ValueError) Error() string {
	value := []rune(Clean(e.Value))
	if len(value) > maxName {
		value = append(value[:maxName:maxName], '…')
	}
	text := fmt.Sprintf("%s %q: %s", e.Field, string(value), e.Problem)
	if e.Hint != "" {
		text += " (" + e.Hint + ")"
	}
	return text
}

// Value reads the value of a named field of a kind of subject. The words
// "unknown" and "-" clear it. An unknown field is an error that names the
// nearest ones.
func Value(what What, name, text string) (json.RawMessage, error) {
	f, err := FieldOf(what, name)
	if err != nil {
		return nil, err
	}
	if !utf8.ValidString(text) {
		return nil, &ValueError{name, text, "is not text in UTF-8",
			"type it again, or save the file it comes from as UTF-8"}
	}
	text = strings.TrimSpace(text)
	if name == "name" && text == "-" {
		return nil, &ValueError{name, text, "a name is wanted", "everything here goes by its name"}
	}
	if name != "fibre" && (text == "unknown" || text == "-") || text == "-" {
		return json.RawMessage("null"), nil
	}
	if f.Parse == nil {
		return nil, &ValueError{name, text, "names another record",
			"give it with the option of that name"}
	}
	value, err := f.Parse(text)
	var known *ValueError
	if errors.As(err, &known) && known.Field == name {
		return nil, err
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return json.Marshal(value)
}

// FieldOf finds a field by its name.
func FieldOf(what What, name string) (Field, error) {
	fields := FieldsOf(what)
	for _, f := range fields {
		if f.Name == name {
			return f, nil
		}
	}
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.Name
	}
	hint := OneOf(name, names)
	if what == WhatSettings {
		return Field{}, &ValueError{"setting", name, "there is no such setting", hint}
	}
	return Field{}, &ValueError{"field", name, fmt.Sprintf("a %s has no such field", what), hint}
}

// FieldsOf lists the fields of a kind of subject.
func FieldsOf(what What) []Field {
	switch what {
	case WhatYarn:
		return yarnFields
	case WhatPackage:
		return packageFields
	case WhatProject:
		return projectFields
	case WhatPerson:
		return personFields
	case WhatSettings:
		return settingFields()
	}
	return nil
}

// Told lists the facts that a person may tell when a yarn or a package comes in:
// those that are typed, but for its name, and what only a package has of two of
// one name.
func Told(what What) []string {
	var names []string
	for _, f := range FieldsOf(what) {
		_, twice := FieldOf(WhatPackage, f.Name)
		if f.Parse != nil && f.Name != "name" && (what == WhatPackage || twice != nil) {
			names = append(names, f.Name)
		}
	}
	return names
}

var yarnFields = []Field{
	{Name: "name", Help: "Ossentarn cotton", Parse: parseName},
	{Name: "fibre", Help: "cotton 60, linen 40",
		Parse: func(s string) (any, error) { return fibre.ParseContent(s) }},
	{Name: "count", Help: "8/2 Ne, label",
		Parse: func(s string) (any, error) { return ParseCountFact(s) }},
	{Name: "construction", Help: "plied, brushed", Parse: parseConstruction},
	twistField(),
	choiceField("fit", "warp", string(FitWarp), string(FitSpaced), string(FitWeftOnly),
		string(FitDiscard)),
	{Name: "shedding", Help: "0 to 3", Parse: number("shedding", 0, 3)},
	choiceField("stretch", "slight", string(StretchNone), string(StretchSlight),
		string(StretchMarked), string(StretchElastic)),
	choiceField("shrinks", "normal", string(ShrinksHardly), string(ShrinksNormal),
		string(ShrinksMuch), string(ShrinksFelts)),
	{Name: "wash", Help: "40 C gentle", Parse: func(s string) (any, error) { return ParseWash(s) }},
	choiceField("bleeds", "yes", string(Yes), string(No), string(May)),
	{Name: "odour", Help: "smoke", Parse: text},
	{Name: "hazards", Help: "latex, dust", Parse: words("hazards", Hazards)},
	{Name: "putup", Help: "50g",
		Parse: func(s string) (any, error) { return measure.ParseMass(s) }},
	{Name: "source", Help: "guild table", Parse: text},
	{Name: "note", Help: "any text", Parse: text},
}

var packageFields = []Field{
	{Name: "yarn", Refers: WhatYarn, Wound: true},
	{Name: "tag", Help: "Y01", Parse: parseTag},
	choiceField("form", "cone", formNames()...),
	{Name: "lot", Help: "4417", Wound: true, Parse: text},
	{Name: "colour", Help: "oat", Wound: true, Parse: text},
	{Name: "swatch", Help: "#8a7a55", Wound: true, Headings: []string{"colour code", "hex"},
		Parse: parseSwatch},
	{Name: "bin", Help: "A1", Parse: text},
	{Name: "acquired", Help: "2023-03", Dated: true,
		Parse: func(s string) (any, error) { return ParseDay(s) }},
	{Name: "aired", Help: "2026-03-14", Dated: true,
		Headings: []string{"last aired", "date last aired", "aired on"},
		Parse:    func(s string) (any, error) { return ParseDay(s) }},
	{Name: "washed", Help: "2026-03-14", Dated: true,
		Headings: []string{"last washed", "washed on"},
		Parse:    func(s string) (any, error) { return ParseDay(s) }},
	{Name: "frozen", Help: "2026-03-14", Dated: true,
		Headings: []string{"last frozen", "frozen on"},
		Parse:    func(s string) (any, error) { return ParseDay(s) }},
	{Name: "price", Help: "3.10 per 100g",
		Parse: func(s string) (any, error) { return ParsePrice(s) }},
	{Name: "source", Help: "guild table", Parse: text},
	{Name: "note", Help: "any text", Parse: text},
	{Name: "tare", Help: "25g weighed", Parse: func(s string) (any, error) { return ParseTare(s) }},
	{Name: "longest", Help: "75cm",
		Parse: func(s string) (any, error) { return measure.ParseLength(s) }},
	{Name: "knots", Help: "1", Parse: number("knots", 0, 1000)},
	{Name: "quarantine", Help: "2026-01-30..2026-03-01 webbing found",
		Parse: func(s string) (any, error) { return ParseQuarantine(s) }},
	{Name: "reserve", Help: "60g for a commission",
		Parse: func(s string) (any, error) { return ParseReserve(s) }},
}

var projectFields = []Field{
	{Name: "name", Help: "oat scarf", Parse: parseName},
	{Name: "kind", Help: "scarf", Parse: text},
	lengthField("width", "30cm"), lengthField("length", "180cm"),
	lengthField("least_width", "25cm"), lengthField("most_width", "35cm"),
	lengthField("least_length", "150cm"), lengthField("most_length", "200cm"),
	settField("sett", "8/cm"), settField("picks", "7/cm"),
	{Name: "structure", Help: "plain", Parse: text},
	{Name: "pieces", Help: "1", Parse: number("pieces", 1, 1000)},
	ratioField("take_up"), ratioField("weft_take_up"), ratioField("shrink_length"),
	ratioField("shrink_width"), ratioField("stretch"), ratioField("strain"), ratioField("draw_in"),
	ratioField("beat"),
	lengthField("fringe", "12cm"), lengthField("twisted", "10cm"), lengthField("braided", "10cm"),
	lengthField("knotted", "10cm"),
	{Name: "other_end", Help: "braided 10cm",
		Parse: func(s string) (any, error) { return ParseEdge(s) }},
	{Name: "bunch", Help: "4", Parse: number("bunch", 1, 1000)},
	{Name: "bunch_groups", Help: "2", Parse: number("bunch_groups", 1, 20)},
	{Name: "floating_selvedges", Help: "0 or 2", Parse: number("floating_selvedges", 0, 2)},
	{Name: "repeat", Help: "8", Parse: number("repeat", 1, 10000)},
	{Name: "balance", Help: "1", Parse: number("balance", 0, 10000)},
	lengthField("hem", "8cm"), {Name: "hemstitched_edges", Help: "2",
		Parse: number("hemstitched_edges", 0, 2)},
	{Name: "hemstitch_picks", Help: "2", Parse: number("hemstitch_picks", 1, 100)},
	{Name: "bound_edges", Help: "2", Parse: number("bound_edges", 0, 2)},
	lengthField("header", "3cm"), lengthField("sample", "20cm"),
	lengthField("front_waste", "25cm"), lengthField("back_waste", "45cm"),
	{Name: "end_strands", Help: "1", Parse: number("end_strands", 1, 20)},
	{Name: "pick_strands", Help: "1", Parse: number("pick_strands", 1, 20)},
	{Name: "clasped", Help: "no", Parse: parseBool},
	{Name: "rag_per_m2", Help: "1.5kg",
		Parse: func(s string) (any, error) { return measure.ParseMass(s) }},
	{Name: "loops", Help: "no", Parse: parseBool},
	{Name: "warp", Refers: WhatPackage, Many: true},
	{Name: "weft", Refers: WhatPackage, Many: true},
	{Name: "hemstitch_yarn", Refers: WhatPackage, Many: true},
	{Name: "stripes", Help: "oat 40, slate 20, oat 40",
		Parse: func(s string) (any, error) { return ParseStripes(s) }},
	choiceField("stripe_rule", "free", string(StripesFixed), string(StripesProportional),
		string(StripesFree), string(StripesMixed)),
	{Name: "symmetric", Help: "yes", Parse: parseBool},
	{Name: "least_stripe", Help: "4", Parse: number("least_stripe", 1, 10000)},
	{Name: "most_stripe", Help: "40", Parse: number("most_stripe", 1, 10000)},
	{Name: "mix_lots", Help: "no", Parse: parseBool},
	{Name: "for", Refers: WhatPerson},
	{Name: "washing", Help: "hand, cool", Parse: text},
	{Name: "due", Help: "2026-12-20", Dated: true,
		Parse: func(s string) (any, error) { return ParseDay(s) }},
	{Name: "note", Help: "any text", Parse: text},
}

var personFields = []Field{
	{Name: "name", Help: "any name", Parse: parseName},
	{Name: "note", Help: "any text", Parse: text},
	{Name: "gone", Help: "yes", Parse: parseBool},
}

// twistField is the direction of the last twist (ISO 2:1973).
func twistField() Field {
	f := choiceField("twist", string(TwistZ), string(TwistS), string(TwistZ))
	f.Headings = []string{"twist direction", "direction of twist", "s or z", "twist s or z"}
	return f
}

func lengthField(name, help string) Field {
	return Field{Name: name, Help: help,
		Parse: func(s string) (any, error) { return measure.ParseLength(s) }}
}

func settField(name, help string) Field {
	return Field{Name: name, Help: help,
		Parse: func(s string) (any, error) { return measure.ParseSett(s) }}
}

func ratioField(name string) Field {
	return Field{Name: name, Help: "10%",
		Parse: func(s string) (any, error) { return parseLoss(name, s) }}
}

func parseLoss(name, s string) (any, error) {
	r, err := measure.ParseRatio(s)
	if err != nil {
		return nil, err
	}
	if r >= measure.Whole && name == "doubt" {
		return nil, &ValueError{name, s, "a doubt of 100 % or more says nothing",
			"give one standard uncertainty, such as 3%"}
	}
	if r >= measure.Whole && !strings.HasSuffix(name, "take_up") && name != "stretch" &&
		name != "strain" {
		return nil, &ValueError{name, s, "a loss of 100 % or more leaves nothing",
			"give the part lost, such as 12%"}
	}
	return r, nil
}

func text(s string) (any, error) { return Clean(s), nil }

func number(name string, least, most int) func(string) (any, error) {
	return func(s string) (any, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < least || n > most {
			return nil, &ValueError{name, s, fmt.Sprintf("a whole number from %d to %d is wanted",
				least, most), ""}
		}
		return n, nil
	}
}

func parseBool(s string) (any, error) {
	switch strings.ToLower(s) {
	case "yes", "true":
		return true, nil
	case "no", "false":
		return false, nil
	}
	return nil, &ValueError{"answer", s, "yes or no is wanted", ""}
}

func choice(name string, words ...string) func(string) (any, error) {
	return func(s string) (any, error) {
		s = strings.ToLower(s)
		if slices.Contains(words, s) {
			return s, nil
		}
		return nil, &ValueError{name, s, "not one of the words for it", "one of: " +
			strings.Join(words, ", ") + ", unknown"}
	}
}

func words(name string, known []string) func(string) (any, error) {
	return func(s string) (any, error) {
		var out []string
		for word := range strings.SplitSeq(s, ",") {
			word = strings.ToLower(strings.TrimSpace(word))
			if word == "none" || word == "" {
				continue
			}
			if !slices.Contains(known, word) {
				return nil, &ValueError{name, word, "not one of the words for it",
					OneOf(word, known)}
			}
			out = append(out, word)
		}
		return out, nil
	}
}

func parseConstruction(s string) (any, error) {
	known := make([]string, len(Constructions))
	for i, c := range Constructions {
		known[i] = c.Word
	}
	return words("construction", known)(s)
}

func formNames() []string {
	names := make([]string, len(Forms))
	for i, f := range Forms {
		names[i] = string(f.Form)
	}
	return names
}

// choiceField is a field of which the value is one of a few words.
func choiceField(name, help string, words ...string) Field {
	return Field{Name: name, Help: help, Words: words, Parse: choice(name, words...)}
}

// OneOf lists the words that would do, always in the same order, and the one
// that is most like what was written.
func OneOf(word string, words []string) string {
	list := "one of: " + strings.Join(words, ", ")
	if near, ok := Nearest(word, words); ok {
		return "did you mean " + near + "? " + list
	}
	return list
}

// Nearest is the word most like another in any letter case, by edit distance: at
// most two letters, and at most half of it. Between equals the first wins.
func Nearest(word string, words []string) (string, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	long := utf8.RuneCountInString(word)
	best, at := "", min(2, long/2)+1
	for _, w := range words {
		if apart := utf8.RuneCountInString(w) - long; max(apart, -apart) >= at {
			continue // so many letters at least are to be put in or left out
		}
		if d := levenshtein.Distance(word, strings.ToLower(w), nil); d < at {
			best, at = w, d
		}
	}
	return best, best != ""
}

// DidYouMean asks whether the word most like another was meant; nothing where none
// is.
func DidYouMean(word string, words []string) string {
	if near, ok := Nearest(word, words); ok {
		return "did you mean " + Quote(near) + "? "
	}
	return ""
}

// british are spellings of the United States of words that are names here, with
// the British one.
var british = strings.NewReplacer("color", "colour", "fiber", "fibre", "odor", "odour", "selvage",
	"selvedge", "gray", "grey")

// British spells a name as the program does.
func British(name string) string { return british.Replace(name) }
