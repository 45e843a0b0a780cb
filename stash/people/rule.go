package people

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Error says which word of a rule is wrong and what to write instead. It holds
// no more of the rule than that word, and no name: rules are private.
type Error struct {
	Word    string
	Problem string
	Hint    string
}

// Error gives one line: the word, the problem and the hint in brackets.
func (e *Error) Error() string {
	out := e.Problem
	if e.Word != "" {
		out = measure.Said(fmt.Sprintf("%.40q", e.Word), e.Problem)
	}
	if e.Hint != "" {
		out += " (" + e.Hint + ")"
	}
	return out
}

// ParseRule reads a rule in the words of the package's grammar. The error is
// an *Error: no answer, a test that does not exist (with the nearest ones), or
// an argument that the test cannot use.
func ParseRule(text string) (stash.Rule, error) {
	text, why, _ := strings.Cut(text, ":")
	words := strings.Fields(strings.ToLower(text))
	r := stash.Rule{Why: strings.Join(strings.Fields(why), " ")}
	r.Lenient, words = lenient(words)
	r.Answer, words = answered(words)
	if len(words) == 0 {
		return stash.Rule{}, &Error{Problem: "a rule needs something to test",
			Hint: `as in "against wool" or "ask shedding 2"`}
	}
	return withTest(r, words)
}

// sayings are the ways in which people say that they are against something:
// what stands before its name, and what stands behind it.
var sayings = []struct{ before, after string }{
	{"", "free"}, {"", "allergy"}, {"", "reaction"}, {"", "intolerance"}, {"", "sensitivity"},
	{"no", ""}, {"nothing", ""}, {"not", ""}, {"never", ""}, {"without", ""}, {"avoid", ""},
	{"avoids", ""}, {"free of", ""}, {"free from", ""},
	{"allergic to", ""}, {"allergy to", ""}, {"sensitive to", ""}, {"reacts to", ""},
	{"reaction to", ""}, {"intolerant of", ""},
	{"cannot have", ""}, {"can't have", ""}, {"must not have", ""}, {"cannot wear", ""},
	{"can't wear", ""},
}

// answered takes the answer off the front of a rule: "against" or "ask", or a
// saying that means against.
func answered(words []string) (stash.Answer, []string) {
	if len(words) > 0 && (words[0] == string(stash.Against) || words[0] == string(stash.Ask)) {
		return stash.Answer(words[0]), words[1:]
	}
	text := strings.Join(words, " ")
	for _, s := range sayings {
		left, before := strings.CutPrefix(text, strings.TrimLeft(s.before+" ", " "))
		plain, after := strings.CutSuffix(left, s.after)
		if plain = strings.TrimRight(plain, " -"); before && after && plain != "" &&
			(s.after == "" || len(plain) < len(left)-len(s.after)) {
			return stash.Against, strings.Fields(plain)
		}
	}
	return "", words
}

// ifKnown are the last words of a rule that what is unknown passes.
const ifKnown = "if known"

// lenient takes "if known" off the end of a rule, and "strict", which every
// other rule is; the two together are strict.
func lenient(words []string) (is bool, rest []string) {
	strict := false
	for {
		switch n := len(words); {
		case n > 0 && words[n-1] == "strict":
			strict, words = true, words[:n-1]
		case n > 1 && strings.Join(words[n-2:], " ") == ifKnown:
			is, words = true, words[:n-2]
		default:
			return is && !strict, words
		}
	}
}

// withTest puts the test and its argument into a rule.
func withTest(r stash.Rule, words []string) (stash.Rule, error) {
	t, value, err := testIn(words)
	if plain := withoutAside(words); err != nil && len(plain) < len(words) {
		if t2, value2, err2 := testIn(plain); err2 == nil {
			t, value, err = t2, value2, nil
		}
	}
	if err != nil {
		return stash.Rule{}, err
	}
	if r.Answer == "" && !t.need {
		said := strings.Join(words, " ")
		return stash.Rule{}, &Error{Word: said, Problem: "a rule begins with its answer",
			Hint: fmt.Sprintf("%q if it must not reach them, %q if they are to be asked", "against "+said, "ask "+said)}
	}
	if r.Answer == "" {
		r.Answer = stash.Against
	}
	r.Test, r.Value = t.name, value
	return r, nil
}

// testIn finds the test that words name, and its argument.
func testIn(words []string) (t test, value string, err error) {
	t, rest, ok := leadingTest(words)
	if !ok {
		t, rest = meantBy(strings.Join(words, " "))
	}
	value, err = t.argument(rest)
	return t, value, err
}

// asides are what people say behind the name of a thing, which leaves the rule as it
// is, or would make it milder.
var asides = []string{"next to skin", "next to the skin", "next to my skin", "next to her skin",
	"next to his skin", "on skin", "on the skin", "near the skin", "against the skin", "at all", "please",
	"yarn", "yarns", "fibre", "fibres", "fiber", "fibers", "products", "content", "in it"}

// withoutAside takes asides off the end of words.
func withoutAside(words []string) []string {
	text := strings.Join(words, " ")
	for i := 0; i < len(asides); i++ {
		if plain, is := strings.CutSuffix(text, " "+asides[i]); is {
			text, i = plain, -1
		}
	}
	return strings.Fields(text)
}

// Words writes a rule as ParseRule reads it, without its reason.
func Words(r stash.Rule) string {
	t, _ := testNamed(r.Test)
	var words []string
	if !t.need || r.Answer != stash.Against {
		words = append(words, string(r.Answer))
	}
	// A fibre goes by its name alone, unless that reads as another test.
	_, _, other := leadingTest(strings.Fields(r.Value))
	if r.Test != "fibre" || other {
		words = append(words, r.Test)
	}
	if r.Value != "" {
		words = append(words, r.Value)
	}
	if r.Lenient {
		words = append(words, ifKnown)
	}
	return strings.Join(words, " ")
}

// several are words that stand for several rules.
var several = map[string]string{
	"vegan":      `--rule 'no animal' --rule 'no protein' --rule 'no leather' --rule 'no feathers'`,
	"vegetarian": `--rule 'no leather' --rule 'no feathers', and "ask animal" if wool and silk are to be asked about`,
}

func noSuchTest(word string) *Error {
	e := &Error{Word: word, Problem: "no test and no fibre has this name",
		Hint: "`endsmeet person tests` lists what a rule can ask about, one thing a rule"}
	if near := nearest(word); len(near) > 0 {
		e.Hint = "did you mean " + strings.Join(near, ", ") + "?"
	}
	if rules := several[word]; rules != "" {
		e.Problem, e.Hint = "this is several rules", rules
		return e
	}
	if p := presetFor(word); p != "" {
		e.Hint = fmt.Sprintf("the preset %q has rules for it: --preset %s; or write one thing a rule", p, stash.Quote(p))
	}
	return e
}

// nearest gives up to three names of tests, classes and fibres that begin with the word
// or differ from it by few letters.
func nearest(word string) []string {
	begin := func(name string) bool { return strings.HasPrefix(name, word+" ") }
	near := written.Near(word, allNames(), max(2, utf8.RuneCountInString(word)/3))
	var names []string
	for _, name := range allNames() {
		if begin(name) {
			names = append(names, name)
		}
	}
	names = append(names, slices.DeleteFunc(near, begin)...)
	return names[:min(3, len(names))]
}

func allNames() []string {
	var names []string
	for _, t := range tests {
		names = append(names, t.name)
	}
	for _, c := range classes {
		names = append(names, c.name)
	}
	for _, f := range fibre.All() {
		if !f.Hazards.Has(fibre.UnknownHazard) {
			names = append(names, string(f.ID))
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}
