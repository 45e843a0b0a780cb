package people

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// class is a group of fibres that a rule can name at once: whole classes of them, single
// ones beside, or only these.
type class struct {
	name string
	also []string // other words for it
	of   []fibre.Class
	ones []fibre.ID
}

// classes are the groups, what goes by the same word as one fibre of theirs among them:
// who is told "animal hair" means wool too, whatever Annex I of Regulation (EU) 1007/2011
// keeps that name for. That rayon is what is made of cellulose, lyocell among it, is the
// American use (16 CFR 303.7 (d), from memory).
var classes = []class{
	{name: "animal", also: []string{"animals", "animal fibre", "unknown animal fibre"},
		of: []fibre.Class{fibre.Wool, fibre.Animal, fibre.Silk}},
	{name: "protein", also: []string{"proteins", "protein fibre", "protein fibres"},
		of: []fibre.Class{fibre.Wool, fibre.Animal, fibre.Silk}, ones: []fibre.ID{"protein"}},
	{name: "hair", also: []string{string(anyHair)}, of: []fibre.Class{fibre.Wool, fibre.Animal}},
	{name: "goat hair", also: []string{"goat", "goats"},
		ones: []fibre.ID{"mohair", "cashmere", "cashgora"}},
	{name: "plant", also: []string{"plants", "plant fibre"},
		of: []fibre.Class{fibre.Cellulose, fibre.Bast, fibre.Paper}},
	{name: "bast", of: []fibre.Class{fibre.Bast}},
	{name: "regenerated", of: []fibre.Class{fibre.Regenerated}},
	{name: "rayon", ones: []fibre.ID{"viscose", "modal", "lyocell", "cupro"}},
	{name: "synthetic", also: []string{"synthetics", "man-made", "plastic"},
		of: []fibre.Class{fibre.Synthetic}},
}

// classNamed finds a class by its name or another word for it.
func classNamed(name string) (class, bool) {
	i := slices.IndexFunc(classes, func(c class) bool {
		return c.name == name || slices.Contains(c.also, name)
	})
	if i < 0 {
		return class{}, false
	}
	return classes[i], true
}

// target is what a rule on the class speaks of.
func (c class) target() target {
	t := target{class: c.name, of: slices.Clone(c.of), whole: c.of, ones: c.ones}
	for _, id := range c.ones {
		t.of = append(t.of, id.Info().Class)
	}
	return t
}

var fibreTests = []test{
	{name: "fibre", facts: []string{"fibre"}, about: "a fibre or a class of fibres, by its name alone: wool, mohair, animal, protein, hair, goat hair, plant, bast, regenerated, rayon, synthetic",
		argument: fibreArgument, yarn: testFibre},
	{name: "only", facts: []string{"fibre"}, about: "a need: no other fibre than those listed", need: true,
		argument: listArgument, yarn: testOnly},
	{name: "unknown fibre", facts: []string{"fibre"}, about: "any part of the fibre content that is not known",
		argument: noArgument, yarn: testUnknown},
}

// target is what a fibre rule speaks of: one fibre, a kind of one ("merino"),
// or a class.
type target struct {
	id    fibre.ID
	word  string // for it, where its own name is that of a class
	kind  string
	class string
	whole []fibre.Class // what the class holds all of
	ones  []fibre.ID    // what it holds beside
	of    []fibre.Class // where anything of it may lie
}

// targetOf reads the name of a class or of a fibre. A hair that has no row of its own is
// no more than hair in the ledger, so a rule on it is one on all hair.
func targetOf(name string) (target, bool) {
	if c, ok := classNamed(name); ok {
		return c.target(), true
	}
	t, ok := oneTarget(name)
	if ok && t.id == anyHair {
		hair, _ := classNamed("hair")
		return hair.target(), true
	}
	return t, ok
}

// oneTarget reads the name of a fibre, or of a kind of one.
func oneTarget(name string) (target, bool) {
	if f, ok := fibre.Lookup(name); ok {
		t := target{id: f.ID, of: []fibre.Class{f.Class}}
		if _, is := classNamed(string(f.ID)); is {
			t.word = name
		}
		return t, !f.Hazards.Has(fibre.UnknownHazard)
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
func (t target) name() string {
	if t.word != "" {
		return t.word
	}
	return strings.TrimSpace(t.class + t.kind + " " + string(t.id))
}

// matches says whether a fibre is what the target names.
func (t target) matches(p fibre.Part) bool {
	if t.id != "" {
		return p.Fibre == t.id && strings.Contains(strings.ToLower(p.Note), t.kind)
	}
	return slices.Contains(t.whole, p.Fibre.Info().Class) || slices.Contains(t.ones, p.Fibre)
}

// vague says whether a known fibre may be the target because its kind is not
// stated: wool that may be merino, animal hair that may be alpaca.
func (t target) vague(p fibre.Part) bool {
	return t.kind != "" && p.Fibre == t.id ||
		p.Fibre == anyHair && slices.Contains(t.of, fibre.Animal)
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

// mayBeWords say what a part that is not known leaves open.
func mayBeWords(p fibre.Part) string {
	switch {
	case p.Doubtful:
		return ": until somebody is sure it may be something else"
	case p.Fibre.Info().Class == fibre.ClassUnknown && p.Fibre != fibre.UnknownElastic:
		return ", which may be anything"
	}
	return ", which may be anything of its kind"
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
		return finding{doubt, "it holds " + partWords(p) + mayBeWords(p)}
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
