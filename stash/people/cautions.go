package people

import (
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// Caution is a short text with where it comes from.
type Caution struct {
	Text   string `json:"text"`
	Source string `json:"source"`
}

const common = "common practice, no source"

// AskFirst closes every list of cautions for a recipient.
var AskFirst = Caution{
	"Ask the person, their clinician or the ward, and keep to local rules; nothing here is advice or a certificate.",
	"this stash",
}

var dustSource = "UK HSE on textile dust: wool and cotton named, vacuum not broom (read)"

// WeaverCautions are for whoever winds and weaves a yarn: dust, raw fleece,
// smell, heat. Values in dispute are read the strict way.
func WeaverCautions(y stash.Yarn) []Caution {
	var out []Caution
	for _, facts := range Readings(y) {
		for _, c := range weaver(facts) {
			if !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// speaksOf says whether the smell of a yarn, or a word that stands beside it, names
// this very topic.
func speaksOf(y stash.YarnFacts, topic fibre.Topic) bool {
	is := func(m fibre.Mention) bool { return m.Topic == topic }
	return slices.ContainsFunc(fibre.Named(y.Odour), is) || ifSpoken(y, is).state != 0
}

func weaver(y stash.YarnFacts) []Caution {
	var out []Caution
	add := func(is bool, text, source string) {
		if is {
			out = append(out, Caution{text, source})
		}
	}
	shed := 0
	if y.Shedding != nil {
		shed = *y.Shedding
	}
	raw := noted(y, "fleece", "raw", "grease") || slices.Contains(y.Hazards, "lanolin")
	add(dusty(y) != "" || shed >= 2,
		"Dust and fluff: open a window, wear an apron and a mask, vacuum afterwards, do not sweep.",
		dustSource)
	add(y.Fibre.Has(fibre.Bast), "Linen and its kind make less dust in damp air, and break less.",
		common)
	add(raw, "Raw or greasy wool may carry dust, dirt and insects: scour it, wash your hands, keep it away from other yarn.", common)
	add(speaksOf(y, "mothballs"),
		"Mothball fumes trouble lungs: air it outdoors before it comes to the loom.", common)
	add(slices.Contains(y.Construction, "metallised") || y.Fibre.Hazards().Has(fibre.Metal),
		"No hot iron on metallised yarn.", common)
	add(len(y.Fibre) > 0 && y.Fibre.Melts() && !anyUncertain(y.Fibre),
		"Parts of it melt: a hot iron or hot wax can burn you and the cloth.", common)
	add(anyUncertain(y.Fibre), "Its fibre is not known: try iron and hot water on a scrap first.",
		common)
	return out
}

// infantCautions name the standards, and what they do not say.
var infantCautions = []Caution{
	{"For a small child: no fringe, cords, ribbons or long loose ends; a thread round a finger or toe cuts off blood. Look for loose ends at every wash.", "conditions of gifts and teaching"},
	{"EN 14682 (cords on children's clothing) excludes scarves and asks for a risk assessment; the 2023 draft would use its zones for scarves.", "EN 14682:2014 scope; prEN 14682:2023 (read)"},
	{"16 CFR 1120 bans drawstrings at hood and neck of children's outerwear, sizes 2T to 12, in the US; it sets no length for a fringe, and neither does any standard found here.", "16 CFR 1120, ASTM F1816-97 (read)"},
}

// looseCaution is for whoever is not said to be a child.
var looseCaution = Caution{"Fringe, cords and long loose ends catch on fingers, tubes and lines; leave them off if it may reach a small child.", "conditions of gifts and teaching"}

// childWords say that a person, a place or a rule is about small children.
var childWords = []string{"child", "children", "child's", "baby", "babies", "infant", "infants",
	"toddler", "newborn", "newborns", "neonatal", "nursery"}

// ofChild says whether the words about a person speak of a small child.
func ofChild(p stash.Person) bool {
	text := p.Name + " " + p.Note
	for _, r := range p.Rules {
		text += " " + r.Why
	}
	return slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return r != '\'' && !unicode.IsLetter(r) }),
		func(w string) bool { return slices.Contains(childWords, w) })
}

// looseTests are the tests that speak of what winds round a neck or a finger.
var looseTests = []string{"fringe", "ties", "long ends"}

// Cautions are for a piece and whom it is for: what the person's rules speak
// of, and always whom to ask. They name no person.
func Cautions(p stash.Person) []Caution {
	var out []Caution
	asks := func(tests ...string) bool {
		return slices.ContainsFunc(p.Rules,
			func(r stash.Rule) bool { return slices.Contains(tests, r.Test) })
	}
	switch {
	case asks(looseTests...) && ofChild(p):
		out = append(out, infantCautions...)
	case asks(looseTests...):
		out = append(out, looseCaution)
	}
	if asks("odour", "shedding") {
		out = append(out, Caution{"Wash it before giving, without scent, and bag it by itself, away from smoke, pets and mothballs.", "conditions of gifts"})
	}
	if asks("coarse") {
		out = append(out, Caution{"Let the person hold a sample against the inside of the arm or the neck.", common})
	}
	return append(out, AskFirst)
}
