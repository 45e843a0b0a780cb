package stash

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Field is one fact that can be stated of a subject.
type Field struct {
	Name string
	// JSON is its name in answers, with its unit; empty where that is Name.
	JSON string
	// Help is an example of what may be written.
	Help string
	// Word is what help calls such a value where its kind has a word: LENGTH, WEIGHT.
	Word string
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
	// Past says that the value begins with a day on which something happened, which has
	// come by the time that it is recorded.
	Past bool
	// Wound says that what is wound or cut off a package has it too.
	Wound bool
	// Headings are what people head a column of a sheet with that holds it, beside
	// its name; a fact without any is no column of its own.
	Headings []string
	// Parse reads what a person wrote into the JSON form of the value.
	Parse func(string) (any, error)
	// Type writes the JSON form as it could be typed, exactly; nil for texts and
	// numbers, where reading again says how.
	Type func(json.RawMessage) string
	// Show writes a number as a person reads it; nil where it is read as it stands.
	Show func(n int64, units measure.System) string
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
	text := measure.Said(fmt.Sprintf("%s %q", e.Field, string(value)), e.Problem)
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
	for i := range fields {
		if fields[i].Name == name {
			return fields[i], nil
		}
	}
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = f.Name
	}
	hint := OneOf(name, names)
	if what == WhatSettings {
		return Field{}, &ValueError{"setting", name, "there is no such setting",
			hint + "; `endsmeet config` lists all"}
	}
	if what == WhatProject {
		hint += "; `endsmeet help project set` lists all"
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

// OneOf lists the words that would do, always in the same order, and the one
// that is most like what was written; of many only those that are like it.
func OneOf(word string, words []string) string {
	list := "one of: " + strings.Join(words, ", ")
	if len(words) > mostWords {
		list = "among others: " + strings.Join(alike(word, words), ", ")
	}
	if near, ok := Nearest(word, words); ok {
		return "did you mean " + near + "? " + list
	}
	return list
}

// mostWords is how many words an error lists in full, and manyAlike how many of more.
const (
	mostWords = 30
	manyAlike = 5
)

// alike are the few words most like another, those first that begin as it does.
func alike(word string, words []string) []string {
	word = strings.ToLower(strings.TrimSpace(word))
	first, size := utf8.DecodeRuneInString(word)
	apart := func(w string) int {
		if begins, _ := utf8.DecodeRuneInString(w); size > 0 && begins == first {
			return written.Apart(word, w) - 2
		}
		return written.Apart(word, w)
	}
	near := slices.Clone(words)
	slices.SortStableFunc(near, func(a, b string) int { return cmp.Compare(apart(a), apart(b)) })
	return near[:manyAlike]
}

// alsoCalled are words of weavers for fields that have another name here.
var alsoCalled = map[string]string{
	"floats": "floating_selvedges", "floaters": "floating_selvedges", "crimp": "take_up",
	"hems": "hem", "epi": "sett", "ppi": "picks", "epc": "sett", "ppc": "picks",
}

// Nearest is the word most like another in any letter case: at most two letters apart,
// and at most half of it. Between equals the first wins.
func Nearest(word string, words []string) (string, bool) {
	word = strings.TrimSpace(word)
	for _, one := range words {
		if called := alsoCalled[strings.Trim(word, "-")]; called != "" &&
			strings.ReplaceAll(strings.Trim(one, "-"), "-", "_") == called {
			return one, true
		}
	}
	near := written.Near(word, words, min(2, utf8.RuneCountInString(word)/2))
	if len(near) == 0 {
		return "", false
	}
	return near[0], true
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
