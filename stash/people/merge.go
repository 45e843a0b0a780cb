package people

import (
	"slices"
	"strings"

	"endsmeet/stash"
)

// Combine joins sets of rules, as several presets give them, into one set of
// the caller's own. Where two ask the same thing, the graver answer and the
// strict reading stay, in the place of the first.
func Combine(sets ...[]stash.Rule) []stash.Rule {
	var out []stash.Rule
	for _, r := range slices.Concat(sets...) {
		i := slices.IndexFunc(out, func(have stash.Rule) bool { return sameQuestion(have, r) })
		if i < 0 {
			out = append(out, r)
			continue
		}
		lenient := out[i].Lenient && r.Lenient
		if r.Answer.Worse(out[i].Answer) {
			out[i] = r
		}
		out[i].Lenient = lenient
	}
	return out
}

func sameQuestion(a, b stash.Rule) bool { return a.Test == b.Test && a.Value == b.Value }

// With adds a rule to a person's rules, in the place of one that asks the same
// thing and answers it alike. One that answers it otherwise stays beside it,
// for Check to find.
func With(rules []stash.Rule, r stash.Rule) []stash.Rule {
	out := slices.Clone(rules)
	i := slices.IndexFunc(out, func(have stash.Rule) bool {
		return sameQuestion(have, r) && have.Answer == r.Answer
	})
	if i < 0 {
		return append(out, r)
	}
	out[i] = r
	return out
}

// Without takes out the rules that the words name: as Words writes them, with
// or without strict, or only what they test. The error is an *Error that says
// no more than the words typed.
func Without(rules []stash.Rule, text string) ([]stash.Rule, error) {
	named := naming(text)
	out := slices.DeleteFunc(slices.Clone(rules), named)
	if len(out) == len(rules) {
		return nil, &Error{Word: text, Problem: "there is no such rule",
			Hint: "`endsmeet person show NAME` lists them"}
	}
	return out, nil
}

// naming gives the test of whether a rule is what the words name.
func naming(text string) func(stash.Rule) bool {
	plain := strings.Join(strings.Fields(strings.ToLower(text)), " ")
	if r, err := ParseRule(text); err == nil {
		answered := strings.HasPrefix(plain, string(r.Answer))
		return func(have stash.Rule) bool {
			return sameQuestion(have, r) && (have.Answer == r.Answer || !answered)
		}
	}
	if r, err := ParseRule("against " + text); err == nil {
		return func(have stash.Rule) bool { return sameQuestion(have, r) }
	}
	return func(have stash.Rule) bool { return Words(have) == plain }
}
