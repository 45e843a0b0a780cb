package people

import (
	"bufio"
	"cmp"
	_ "embed"
	"fmt"
	"net/textproto"
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
)

// Preset is a set of rules for a usual case: data with its source and date.
// Whoever uses it copies the rules into a person, so that a later change of
// the preset does not change what was agreed.
type Preset struct {
	Name string `json:"name"`
	// Also holds other names that find it.
	Also  []string `json:"also"`
	About string   `json:"about"`
	// Grade says how well it is founded: C donor rules of charities and
	// hospitals, M medical or textile science, P makers' own records, T
	// teaching.
	Grade  string `json:"grade"`
	Source string `json:"source"`
	// Dated is the day on which the sources were gathered.
	Dated string       `json:"dated"`
	Rules []stash.Rule `json:"-"`
}

// gatheredOn is the day on which the presets' sources were put together.
const gatheredOn = "2026-11-25"

// presetText holds the usual cases, a stanza each with its rules in the words of ParseRule.
// Donor rules differ from house to house and contradict each other, so a preset is where a talk
// begins, not where it ends. What is seldom recorded is asked for "if known"; fibre, where it
// matters, so that unknown fibre comes out as unknown and does not pass. Bed and body
// linen that goes to a ward must bear the ward's laundry: 60 C is common practice, no
// source; ask.
//
//go:embed presets.txt
var presetText string

// stanzas are the presets as they are written.
func stanzas() (all []textproto.MIMEHeader) {
	for in := textproto.NewReader(bufio.NewReader(strings.NewReader(presetText))); ; {
		stanza, err := in.ReadMIMEHeader()
		if len(stanza) > 0 {
			all = append(all, stanza)
		}
		if err != nil {
			return all
		}
	}
}

// namesIn are the name of a preset and its other names.
func namesIn(stanza textproto.MIMEHeader) []string {
	return append([]string{stanza.Get("Name")}, strings.Split(stanza.Get("Also"), ", ")...)
}

// Presets lists the presets in the order of the help; they are the caller's own.
func Presets() (all []Preset) {
	for _, stanza := range stanzas() {
		names := namesIn(stanza)
		p := Preset{Name: names[0], Also: names[1:], About: stanza.Get("About"),
			Grade: stanza.Get("Grade"), Source: stanza.Get("Source"), Dated: gatheredOn}
		for _, text := range stanza["Rule"] {
			r, err := ParseRule(text)
			if err != nil {
				panic(fmt.Errorf("presets.txt, %s: %w", p.Name, err)) // it is part of the program
			}
			r.Source, r.Dated = p.Source, p.Dated
			p.Rules = append(p.Rules, r)
		}
		all = append(all, p)
	}
	return all
}

// PresetNamed finds a preset by its name or another of its names, in any
// letter case. The error is an *Error with the nearest names.
func PresetNamed(name string) (Preset, error) {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	var names []string
	for _, p := range Presets() {
		if p.Name == name || slices.Contains(p.Also, name) {
			return p, nil
		}
		names = append(names, p.Name)
	}
	hint := "the presets are " + strings.Join(names, ", ")
	near, _ := stash.Nearest(name, names)
	if near = cmp.Or(presetFor(name), near); near != "" {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return Preset{}, &Error{Word: name, Problem: "no preset has this name", Hint: hint}
}

// presetFor gives the preset that a text speaks of: the one of whose names the
// most words stand in it. Words of three letters and fewer say nothing.
func presetFor(text string) string {
	best, most := "", 0
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
	for _, stanza := range stanzas() {
		for _, name := range namesIn(stanza) {
			hits := 0
			for _, w := range strings.Fields(name) {
				if len(w) > 3 && slices.Contains(words, w) {
					hits++
				}
			}
			if hits > most {
				best, most = stanza.Get("Name"), hits
			}
		}
	}
	return best
}
