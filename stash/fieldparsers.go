package stash

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

func lengthField(name, help string) Field {
	return Field{Name: name, JSON: name + "_mm", Help: help, Word: "LENGTH",
		Type:  typing(measure.Length.Exact),
		Parse: func(s string) (any, error) { return measure.ParseLength(s) },
		Show:  func(n int64, u measure.System) string { return measure.Length(n).Cloth(u) }}
}

func massField(name, help string) Field {
	return Field{Name: name, JSON: name + "_mg", Help: help, Word: "WEIGHT",
		Type:  typing(measure.Mass.Exact),
		Parse: func(s string) (any, error) { return measure.ParseMass(s) },
		Show:  func(n int64, u measure.System) string { return measure.Mass(n).Format(u) }}
}

func settField(name, help string) Field {
	return Field{Name: name, JSON: name + "_per_km", Help: help, Type: typing(measure.Sett.String),
		Parse: func(s string) (any, error) { return measure.ParseSett(s) },
		Show:  func(n int64, u measure.System) string { return measure.Sett(n).Format(u) }}
}

func ratioField(name string) Field {
	return Field{Name: name, JSON: name + "_ppm", Help: "10%", Show: showRatio,
		Parse: func(s string) (any, error) { return parseLoss(name, s) }}
}

func showRatio(n int64, _ measure.System) string { return measure.Ratio(n).String() }

// shown gives the field another way to be shown.
func (f Field) shown(show func(n int64, units measure.System) string) Field {
	f.Show = show
	return f
}

func parseLoss(name, s string) (any, error) {
	r, err := measure.ParseRatio(s)
	if err != nil {
		return nil, err
	}
	if r >= measure.Whole && name == "doubt" {
		return nil, &ValueError{name, s, "a doubt of 100% or more says nothing",
			"give one standard uncertainty, such as 3%"}
	}
	if r >= measure.Whole && !strings.HasSuffix(name, "take_up") && name != "stretch" &&
		name != "strain" {
		return nil, &ValueError{name, s, "a loss of 100% or more leaves nothing",
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
				least, most), fmt.Sprintf("write it in digits, such as %d", min(most, least+1))}
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
	return nil, &ValueError{"answer", s, "yes or no is wanted", "write yes or no"}
}

// answers are the words for whether its dye runs.
var answers = []string{string(Yes), string(No), string(May)}

// parseAnswered reads whether a dye runs: whoever is not sure of it says may.
func parseAnswered(s string) (any, error) {
	rest, doubted := written.Undoubted(s)
	if doubted && (rest == "" || slices.Contains(answers, strings.ToLower(rest))) {
		rest = string(May)
	}
	return choice("bleeds", answers...)(rest)
}

func choice(name string, words ...string) func(string) (any, error) {
	return func(s string) (any, error) {
		s = strings.ToLower(s)
		if slices.Contains(words, s) {
			return s, nil
		}
		return nil, &ValueError{name, s, "not one of the words for it", OneOf(s, append(slices.Clone(words),
			"unknown"))}
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

// inJSON gives the field another name in answers.
func (f Field) inJSON(name string) Field {
	f.JSON = name
	return f
}

// choiceField is a field of which the value is one of a few words.
func choiceField(name, help string, words ...string) Field {
	return Field{Name: name, Help: help, Words: words, Parse: choice(name, words...)}
}

// headed gives the field what people head a column with that holds it.
func (f Field) headed(headings ...string) Field {
	f.Headings = headings
	return f
}
