package stash

import "encoding/json"

// Person is a recipient, or a place such as a ward, with the rules that what
// reaches them must meet. All of it is private: it lies on the private lane,
// stays out of exports unless asked for, and is never put into an error.
type Person struct {
	ID PersonID `json:"id"`
	PersonFacts
	// Disputed holds the fields whose values disagree; until that is settled
	// every rule of every value is read.
	Disputed map[string][]json.RawMessage `json:"disputed,omitempty"`
	// Newer says that a newer version wrote what this one cannot read, a rule
	// perhaps: answers about this person are then not complete.
	Newer bool `json:"newer,omitempty"`
}

// PersonFacts are the facts of a person.
type PersonFacts struct {
	Name  string `json:"name,omitempty"`
	Rules []Rule `json:"rules,omitempty"`
	Note  string `json:"note,omitempty"`
	// Gone marks a person who is no longer to be offered.
	Gone bool `json:"gone,omitempty"`
}

// Rule is one thing that yarn or cloth for a person is tested by.
type Rule struct {
	// Test names the attribute, such as fibre, shedding, latex or odour.
	Test string `json:"test"`
	// Value is the test's argument: a fibre, a grade, a diameter.
	Value string `json:"value,omitempty"`
	// Answer is what a hit means: against or ask.
	Answer Answer `json:"answer"`
	// Lenient rules are passed by what is unknown. All others are strict.
	Lenient bool `json:"lenient,omitempty"`
	// OldStrict was written while strictness had to be asked for. It is read,
	// so that a rule of then is no rule of a newer version, and says nothing.
	OldStrict bool `json:"strict,omitempty"`
	// Why is the reason in the weaver's or the preset's words.
	Why string `json:"why,omitempty"`
	// Source and Dated say where a preset's rule came from and of when it is.
	Source string `json:"source,omitempty"`
	Dated  string `json:"dated,omitempty"`
}

// Answer is the result of testing a yarn against a rule.
type Answer string

// The answers, as the ledger and JSON hold them. None of them says that a yarn
// will do no harm.
const (
	Against Answer = "against"
	Ask     Answer = "ask"
	Unknown Answer = "unknown"
	Nothing Answer = "nothing recorded"
)

// Words says the answer as people read it. The text of the answer itself is for
// programs, and stays as it is.
func (a Answer) Words() string {
	switch a {
	case Against:
		return "breaks a rule"
	case Ask:
		return "ask first"
	case Unknown:
		return "not recorded"
	}
	return "no rule broken, as far as recorded"
}

// Worse says whether a is a graver answer than b.
func (a Answer) Worse(b Answer) bool { return a.rank() < b.rank() }

func (a Answer) rank() int {
	switch a {
	case Against:
		return 0
	case Unknown:
		return 1
	case Ask:
		return 2
	}
	return 3
}

// FoldPerson folds a person from their fact events, in any order.
func FoldPerson(id PersonID, events []Event, env Env) Person {
	folded, newer := foldFacts(Subject(id), events, env)
	facts, unfit := fitFacts[PersonFacts](folded.Shown())
	p := Person{ID: id, PersonFacts: facts, Disputed: folded.Disputed(), Newer: newer || unfit}
	p.Rules = append(p.Rules, otherRules(p.Rules, p.Disputed["rules"])...)
	return p
}

// otherRules gives the rules of disputed values that the shown one lacks: a
// disagreement about health is read the strict way.
func otherRules(shown []Rule, values []json.RawMessage) []Rule {
	have := map[Rule]bool{}
	for _, r := range shown {
		have[r] = true
	}
	var more []Rule
	for _, value := range values {
		var rules []Rule
		_ = json.Unmarshal(value, &rules)
		for _, r := range rules {
			if !have[r] {
				have[r] = true
				more = append(more, r)
			}
		}
	}
	return more
}
