package people

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// class is a group of fibres that a rule can name at once.
type class struct {
	name string
	of   []fibre.Class
}

var classes = []class{
	{"animal", []fibre.Class{fibre.Wool, fibre.Animal, fibre.Silk}},
	{"hair", []fibre.Class{fibre.Wool, fibre.Animal}},
	{"plant", []fibre.Class{fibre.Cellulose, fibre.Bast, fibre.Paper}},
	{"bast", []fibre.Class{fibre.Bast}},
	{"regenerated", []fibre.Class{fibre.Regenerated}},
	{"synthetic", []fibre.Class{fibre.Synthetic}},
}

var fibreTests = []test{
	{name: "fibre", about: "a fibre or a class of fibres, by its name alone: wool, mohair, animal, hair, plant, bast, regenerated, synthetic",
		argument: fibreArgument, yarn: testFibre},
	{name: "only", about: "a need: no other fibre than those listed", need: true,
		argument: listArgument, yarn: testOnly},
	{name: "unknown fibre", about: "any part of the fibre content that is not known",
		argument: noArgument, yarn: testUnknown},
}

// target is what a fibre rule speaks of: one fibre, a kind of one ("merino"),
// or whole classes.
type target struct {
	id   fibre.ID
	kind string
	of   []fibre.Class
}

// targetOf reads the name of a class or of a fibre.
func targetOf(name string) (target, bool) {
	for _, c := range classes {
		if c.name == name {
			return target{of: c.of}, true
		}
	}
	if f, ok := fibre.Lookup(name); ok {
		return target{id: f.ID, of: []fibre.Class{f.Class}}, !f.Hazards.Has(fibre.UnknownHazard)
	}
	if !onlyLetters(name) {
		return target{}, false
	}
	c, err := fibre.ParseContent(name)
	if err != nil || len(c) != 1 || uncertain(c[0]) {
		return target{}, false
	}
	t := target{id: c[0].Fibre, kind: c[0].Note, of: []fibre.Class{c[0].Fibre.Info().Class}}
	if again, err := fibre.ParseContent(t.name()); err != nil || again[0].Fibre != t.id ||
		again[0].Note != t.kind {
		t.kind = "" // a kind that has no name of its own: the rule is about all of the fibre
	}
	return t, true
}

// onlyLetters keeps shares, brackets and question marks out of a rule.
func onlyLetters(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !strings.ContainsRune(" '-/", r)
	})
}

// name writes the target as targetOf reads it.
func (t target) name() string { return strings.TrimSpace(t.kind + " " + string(t.id)) }

// matches says whether a fibre is what the target names.
func (t target) matches(p fibre.Part) bool {
	if t.id != "" {
		return p.Fibre == t.id && strings.Contains(strings.ToLower(p.Note), t.kind)
	}
	return slices.Contains(t.of, p.Fibre.Info().Class)
}

// vague says whether a known fibre may be the target because its kind is not
// stated: wool that may be merino, animal hair that may be alpaca.
func (t target) vague(p fibre.Part) bool {
	return t.kind != "" && p.Fibre == t.id ||
		p.Fibre == anyHair && t.id != "" && t.of[0] == fibre.Animal
}

// mayBe says whether a part that is not fully known may be the target.
func (t target) mayBe(p fibre.Part) bool {
	return slices.ContainsFunc(t.of, fibre.Content{p}.MayHave)
}

// uncertain says whether a part's fibre is not, or not surely, known.
func uncertain(p fibre.Part) bool {
	return p.Doubtful || p.Fibre.Info().Hazards.Has(fibre.UnknownHazard)
}

// anyHair is the fibre name of Annex I no. 3, which stands for any hair that
// has no name of its own there; which one, is not said.
const anyHair fibre.ID = "animal hair"

func fibreArgument(s string) (string, error) {
	for _, c := range classes {
		if c.name == s {
			return s, nil
		}
	}
	t, ok := targetOf(s)
	if !ok {
		return "", noSuchTest(s)
	}
	return t.name(), nil
}

func listArgument(s string) (string, error) {
	var names []string
	for _, word := range strings.FieldsFunc(s, func(r rune) bool {
		return r == ',' || r == ';' || r == '+'
	}) {
		name, err := fibreArgument(strings.TrimSpace(word))
		if err != nil {
			return "", err
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		return "", &Error{Word: "only", Problem: "no fibre follows",
			Hint: `as in "only cotton, acrylic"`}
	}
	return strings.Join(names, ", "), nil
}

// partWords names a part with its share: "wool 85 %".
func partWords(p fibre.Part) string {
	name := p.Fibre.Word()
	if p.Doubtful {
		name += " (not sure)"
	}
	if p.Share == 0 {
		return name
	}
	return name + " " + p.Share.String()
}

var noFibre = finding{doubt, "its fibre is not recorded"}

// testFibre looks for one fibre or class.
func testFibre(y stash.YarnFacts, argument string) finding {
	t, ok := targetOf(argument)
	if !ok {
		return finding{doubt, fmt.Sprintf("%q is no fibre that this version knows", argument)}
	}
	if len(y.Fibre) == 0 {
		return noFibre
	}
	var found finding
	for _, p := range y.Fibre {
		found = found.worse(t.in(p))
	}
	return found.worse(ifSpoken(y, t.speaks))
}

// in looks for the target in one part.
func (t target) in(p fibre.Part) finding {
	switch {
	case t.matches(p):
		return finding{hit, partWords(p)}
	case t.vague(p):
		return finding{doubt, "it holds " + p.Fibre.Word() + " of a kind not stated"}
	case !uncertain(p):
		return finding{}
	case t.mayBe(p):
		return finding{doubt, "it holds " + partWords(p) + ", which may be anything of its kind"}
	case p.Fibre == fibre.UnknownElastic:
		return finding{} // rubber or a synthetic, and nothing else
	}
	return finding{silent, "it holds " + partWords(p) + ", known only roughly"}
}

// testOnly looks for any fibre outside the list.
func testOnly(y stash.YarnFacts, argument string) finding {
	if len(y.Fibre) == 0 {
		return noFibre
	}
	var found finding
	for _, p := range y.Fibre {
		found = found.worse(outside(p, strings.Split(argument, ", ")))
	}
	return found.worse(ifSpoken(y, func(m fibre.Mention) bool {
		return m.Fibre != "" && outside(fibre.Part{Fibre: m.Fibre},
			strings.Split(argument, ", ")) != finding{} || slices.Contains(ofAnimals, m.Topic)
	}))
}

// outside says whether a part is none of the fibres of a list.
func outside(p fibre.Part, list []string) finding {
	possible := false
	for _, name := range list {
		t, ok := targetOf(name)
		if ok && !uncertain(p) && t.matches(p) {
			return finding{}
		}
		possible = possible || !ok || t.vague(p) || uncertain(p) && t.mayBe(p)
	}
	if possible {
		return finding{doubt, partWords(p) + " may not be " + strings.Join(list, " or ")}
	}
	return finding{hit, partWords(p) + " is not " + strings.Join(list, " or ")}
}

func testUnknown(y stash.YarnFacts, _ string) finding {
	if len(y.Fibre) == 0 {
		return finding{hit, noFibre.why}
	}
	for _, p := range y.Fibre {
		if uncertain(p) {
			return finding{hit, "it holds " + partWords(p)}
		}
	}
	return ifSpoken(y, func(m fibre.Mention) bool { return m.Fibre == fibre.Unknown })
}
