package learn

import (
	"slices"
	"strings"
	"unicode"

	"endsmeet/planner/cloth"
	"endsmeet/stash"
)

// wetRule replaces the handbook's loss in washing where something stronger
// than the fibre decides it.
type wetRule struct {
	when   func(stash.ProjectFacts, []stash.Yarn) bool
	loss   normal
	source string
}

// The rules, the first that holds counts. Losses of chenille and of deflected
// double weave are those that weavers recorded; the grades of shrinking and fulled wool
// are taught: common practice, no source.
var wetRules = []wetRule{
	{unwashed, normal{0, .01}, "not washed, so nothing is lost in washing"},
	{chenilleByMachine, normal{.50, .15}, "chenille washed by machine was seen to lose 50%"},
	{fulled, normal{.20, .08}, "wool that may felt, washed hard, " + practice},
	{deflected, normal{.25, .08}, "deflected double weave was seen to lose 25%"},
	{graded(stash.ShrinksFelts), normal{.20, .08}, "recorded as felting, " + practice},
	{graded(stash.ShrinksMuch), normal{.15, .05}, "recorded as shrinking much, " + practice},
	{graded(stash.ShrinksHardly), normal{.03, .02}, "recorded as hardly shrinking, " + practice},
}

// wetOf finds the rule for a project and the yarns of one direction.
func wetOf(b stash.ProjectFacts, yarns []stash.Yarn) (wetRule, bool) {
	i := slices.IndexFunc(wetRules, func(r wetRule) bool { return r.when(b, yarns) })
	if i < 0 {
		return wetRule{}, false
	}
	return wetRules[i], true
}

func unwashed(b stash.ProjectFacts, _ []stash.Yarn) bool {
	return slices.Contains([]string{"none", "no", "not washed", "unwashed", "not wet-finished",
		"never"}, words(b.Washing))
}

// hardWords are the words for a washing that felts wool.
var hardWords = []string{"machine", "hot", "full", "fulled", "fulling", "felt", "felted", "felting",
	"tumble", "tumbled", "boiled"}

// hard says whether a washing felts wool. A word after "no" or "not" does not
// count.
func hard(washing string) bool {
	before := ""
	for _, word := range strings.FieldsFunc(words(washing),
		func(r rune) bool { return !unicode.IsLetter(r) }) {
		if slices.Contains(hardWords, word) && before != "no" && before != "not" {
			return true
		}
		before = word
	}
	return false
}

func chenilleByMachine(b stash.ProjectFacts, yarns []stash.Yarn) bool {
	return hard(b.Washing) && slices.ContainsFunc(yarns,
		func(y stash.Yarn) bool { return slices.Contains(y.Construction, "chenille") })
}

func fulled(b stash.ProjectFacts, yarns []stash.Yarn) bool {
	return hard(b.Washing) && slices.ContainsFunc(yarns,
		func(y stash.Yarn) bool { return len(y.Fibre) > 0 && y.Felts() })
}

func deflected(b stash.ProjectFacts, _ []stash.Yarn) bool {
	return strings.Contains(words(b.Structure), "deflected")
}

// graded holds where every yarn has the grade.
func graded(grade stash.Shrinks) func(stash.ProjectFacts, []stash.Yarn) bool {
	return func(_ stash.ProjectFacts, yarns []stash.Yarn) bool {
		return len(yarns) > 0 &&
			!slices.ContainsFunc(yarns, func(y stash.Yarn) bool { return y.Shrinks != grade })
	}
}

// words is text in lower case with single spaces.
func words(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }

// structureOf names a structure in one spelling: "plain" is "plain weave".
func structureOf(s string) string {
	if w, err := cloth.ParseWeave(s); err == nil {
		return w.Name
	}
	return words(s)
}
