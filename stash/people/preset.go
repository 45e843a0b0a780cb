package people

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
)

// Preset is a set of rules for a usual case: data with its source and date.
// Whoever uses it copies the rules into a person, so that a later change of
// the preset does not change what was agreed.
type Preset struct {
	Name string
	// Also holds other names that find it.
	Also  []string
	About string
	// Grade says how well it is founded: C donor rules of charities and
	// hospitals, M medical or textile science, P makers' own records, T
	// teaching.
	Grade  string
	Source string
	// Dated is the day on which the sources were gathered.
	Dated string
	// Rules are in the words of ParseRule.
	Rules []string
}

// PresetNamed finds a preset by its name or another of its names, in any
// letter case, and gives its rules as values of the caller's own, each with
// its reason, source and date. The error is an *Error with the nearest names.
func PresetNamed(name string) (Preset, []stash.Rule, error) {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	for _, p := range presets {
		if p.Name != name && !slices.Contains(p.Also, name) {
			continue
		}
		rules, err := p.rules()
		return p.clone(), rules, err
	}
	hint := "the presets are " + strings.Join(presetNames(), ", ")
	near, _ := stash.Nearest(name, presetNames())
	if near = cmp.Or(presetFor(name), near); near != "" {
		hint = fmt.Sprintf("did you mean %q? %s", near, hint)
	}
	return Preset{}, nil, &Error{Word: name, Problem: "no preset has this name", Hint: hint}
}

// presetFor gives the preset that a text speaks of: the one of whose names the
// most words stand in it. Words of three letters and fewer say nothing.
func presetFor(text string) string {
	best, most := "", 0
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
	for _, p := range presets {
		for _, name := range append([]string{p.Name}, p.Also...) {
			hits := 0
			for _, w := range strings.Fields(name) {
				if len(w) > 3 && slices.Contains(words, w) {
					hits++
				}
			}
			if hits > most {
				best, most = p.Name, hits
			}
		}
	}
	return best
}

// Presets lists the presets in the order of the help.
func Presets() []Preset {
	out := make([]Preset, len(presets))
	for i, p := range presets {
		out[i] = p.clone()
	}
	return out
}

func (p Preset) clone() Preset {
	p.Also, p.Rules = slices.Clone(p.Also), slices.Clone(p.Rules)
	return p
}

func (p Preset) rules() ([]stash.Rule, error) {
	rules := make([]stash.Rule, 0, len(p.Rules))
	for _, text := range p.Rules {
		r, err := ParseRule(text)
		if err != nil {
			return nil, err
		}
		r.Source, r.Dated = p.Source, p.Dated
		rules = append(rules, r)
	}
	return rules, nil
}

func presetNames() []string {
	names := make([]string, len(presets))
	for i, p := range presets {
		names[i] = p.Name
	}
	return names
}
