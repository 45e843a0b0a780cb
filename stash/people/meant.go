package people

import (
	"strings"

	"endsmeet/stash/fibre"
)

// meantBy finds the test that a word means which is the name of none: what the
// tables of names know of it, in any of their languages. All else is the name of
// a fibre, or of nothing.
func meantBy(word string) (t test, argument string) {
	if name, ok := everyday[word]; ok {
		t, _ = testNamed(name)
		return t, ""
	}
	for _, m := range fibre.Mentions(word) {
		if strings.EqualFold(m.Word, word) {
			if t, argument, ok := testOf(m, word); ok {
				return t, argument
			}
		}
	}
	return fibreTests[0], word
}

// everyday are words for what a test finds, beside its name.
var everyday = map[string]string{
	"itchy": "coarse", "scratchy": "coarse", "prickly": "coarse", "rough": "coarse",
	"prickle": "coarse", "itch": "coarse",
	"lint": "shedding", "fluff": "shedding", "shed": "shedding", "sheds": "shedding",
	"fringes": "fringe", "openwork": "holes", "lace": "holes",
	"elastic": "possible latex", "stretch": "possible latex", "down": "feathers",
}

// testOf gives the test that finds what a mention speaks of. Rubber and metal go
// by several names in a fibre text, so a rule on one of them asks for all.
func testOf(m fibre.Mention, word string) (t test, argument string, ok bool) {
	name := string(m.Topic)
	switch h := m.Fibre.Info().Hazards; {
	case m.Fibre == fibre.Unknown, m.Fibre == "" && name == "":
		return test{}, "", false
	case m.Fibre != "" && h.Has(fibre.Metal):
		name = "metal"
	case m.Fibre != "" && (h.Has(fibre.Latex) || h.Has(fibre.PossibleLatex)):
		name = "possible latex"
	case m.Fibre != "":
		return test{}, "", false
	}
	switch name {
	case "smoke", "mothballs", "scent":
		name, argument = "odour", word
	case "smell":
		name = "odour"
	case "feather":
		name = "feathers"
	case "beads":
		name = "small parts"
	case "grease", "raw":
		name = "lanolin"
	case "softener", "pesticide":
		name = "finish"
	case "fur":
		return fibreTests[0], "hair", true
	}
	t, ok = testNamed(name)
	return t, argument, ok
}
