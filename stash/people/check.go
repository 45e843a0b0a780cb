package people

import (
	"fmt"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Contradiction is two rules of one person that cannot both be kept, or that
// answer the same question differently.
type Contradiction struct {
	A, B stash.Rule
	Why  string
}

// Error names both rules and says why they contradict each other.
func (c Contradiction) Error() string {
	return fmt.Sprintf("%q and %q contradict each other: %s", Words(c.A), Words(c.B), c.Why)
}

// Check finds the contradictions within one person's rules. Rules of different
// people may contradict each other freely.
func Check(rules []stash.Rule) []Contradiction {
	var found []Contradiction
	for i, a := range rules {
		for _, b := range rules[i+1:] {
			if why := contradict(a, b); why != "" {
				found = append(found, Contradiction{a, b, why})
			}
		}
	}
	return found
}

func contradict(a, b stash.Rule) string {
	if a.Test == b.Test && a.Value == b.Value && a.Answer != b.Answer {
		return "the same test has two answers"
	}
	if a.Answer != stash.Against || b.Answer != stash.Against {
		return ""
	}
	if a.Test == "only" && nothingLeft(a, b) || b.Test == "only" && nothingLeft(b, a) {
		return "no fibre is left that both allow"
	}
	return ""
}

// nothingLeft says whether every fibre that the need "only" allows is refused
// by the other rule.
func nothingLeft(only, other stash.Rule) bool {
	need, ok1 := testNamed(only.Test)
	t, ok2 := testNamed(other.Test)
	if !ok1 || !ok2 || t.yarn == nil {
		return false
	}
	allowed := 0
	for _, f := range fibre.All() {
		y := stash.YarnFacts{Fibre: fibre.Content{{Fibre: f.ID, Share: measure.Whole}}}
		if need.yarn(y, only.Value).state != pass {
			continue
		}
		allowed++
		if t.yarn(y, other.Value).state != hit {
			return false
		}
	}
	return allowed > 0
}
