package people

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"endsmeet/stash"
)

// Part is a yarn that stays in a piece, and as what.
type Part struct {
	Role stash.Role
	Yarn stash.Yarn
}

// Reason is one rule that a yarn or a piece did not simply pass.
type Reason struct {
	Rule   string       `json:"rule"`
	Answer stash.Answer `json:"answer"`
	Why    string       `json:"why"`
	// Of is the part of the piece, empty for a yarn by itself.
	Of string `json:"of,omitempty"`
	// Yarn is the yarn that it is of, empty for the form of a piece.
	Yarn stash.YarnID `json:"-"`
	// Strict says that what is unknown does not pass the rule, as in every rule
	// that does not end with "if known".
	Strict bool `json:"strict,omitempty"`
}

// Result is the gravest answer of all rules, with the reasons, gravest first.
type Result struct {
	Answer  stash.Answer `json:"answer"`
	Reasons []Reason     `json:"reasons"`
}

// Blocks says whether going on needs an override with a reason: something is
// against it, or a strict rule meets what is unknown.
func (r Result) Blocks() bool {
	return slices.ContainsFunc(r.Reasons, Reason.Blocks)
}

// Blocks says whether this reason alone asks for an override.
func (r Reason) Blocks() bool {
	return r.Answer == stash.Against || r.Answer == stash.Unknown && r.Strict
}

// Suits holds one yarn against a person's rules. Values in dispute are each
// read, and the gravest counts. A person without rules gives the answer that
// nothing is recorded, unless a newer version wrote what cannot be read here.
func Suits(p stash.Person, y stash.Yarn) Result {
	return gathered(append(unread(p), yarnReasons(p.Rules, y, "")...))
}

// unread is the reason for which no answer about a person is complete: a newer
// version wrote rules that this one cannot read. It blocks as a strict rule.
func unread(p stash.Person) []Reason {
	if !p.Newer {
		return nil
	}
	return []Reason{{Rule: "rules of a newer version", Answer: stash.Unknown,
		Why: "a newer version wrote what this one cannot read", Strict: true}}
}

// Added gives the reasons of a later answer that an earlier one did not have.
func Added(before, after Result) []Reason {
	var out []Reason
	for _, r := range after.Reasons {
		if !slices.Contains(before.Reasons, r) {
			out = append(out, r)
		}
	}
	return out
}

// OfPiece is what a reason is about that no yarn gives: the form of the piece.
const OfPiece = "piece"

// SuitsPiece holds everything that is in a piece, and its form, against a
// person's rules: warp, weft, edge stitching, fringe, sewing thread, a header
// that stays. A piece of which no yarn is recorded is unknown.
func SuitsPiece(p stash.Person, parts []Part, form PieceForm) Result {
	if len(parts) == 0 {
		parts = []Part{{Role: "cloth"}}
	}
	reasons := append(unread(p), formReasons(p.Rules, form)...)
	for _, part := range parts {
		reasons = append(reasons, yarnReasons(p.Rules, part.Yarn, part.label())...)
	}
	return gathered(reasons)
}

func (p Part) label() string {
	if p.Yarn.Name == "" {
		return string(p.Role)
	}
	return fmt.Sprintf("%s (%s)", p.Yarn.Name, p.Role)
}

// gathered sorts the reasons, gravest first, and takes the gravest answer.
func gathered(reasons []Reason) Result {
	r := Result{Answer: stash.Nothing, Reasons: []Reason{}}
	for _, reason := range reasons {
		if !slices.Contains(r.Reasons, reason) {
			r.Reasons = append(r.Reasons, reason)
		}
	}
	slices.SortStableFunc(r.Reasons, func(a, b Reason) int { return order(a.Answer, b.Answer) })
	if len(r.Reasons) > 0 {
		r.Answer = r.Reasons[0].Answer
	}
	return r
}

func order(a, b stash.Answer) int {
	switch {
	case a.Worse(b):
		return -1
	case b.Worse(a):
		return 1
	}
	return 0
}

func yarnReasons(rules []stash.Rule, y stash.Yarn, of string) []Reason {
	readings := Readings(y)
	var reasons []Reason
	for _, r := range rules {
		t, ok := testNamed(r.Test)
		switch {
		case !ok:
			reasons = appendReason(reasons, r, newerTest, of)
		case t.yarn != nil:
			reasons = appendReason(reasons, r, gravest(r, t, readings), of)
		}
	}
	for i := range reasons {
		reasons[i].Yarn = y.ID
	}
	return reasons
}

// newerTest is the finding of a test that this version does not know.
var newerTest = finding{doubt, "this version does not know the test"}

// gravest tests every reading of a yarn and keeps the gravest finding.
func gravest(r stash.Rule, t test, readings []stash.YarnFacts) finding {
	var worst finding
	for _, y := range readings {
		found := t.yarn(y, r.Value)
		if r.Answer == stash.Against && t.name == "fibre" {
			found = found.worse(hiddenInWool(y, r.Value))
		}
		if answerOf(r, found.state).Worse(answerOf(r, worst.state)) {
			worst = found
		}
	}
	return worst
}

func formReasons(rules []stash.Rule, form PieceForm) []Reason {
	var reasons []Reason
	for _, r := range rules {
		if t, ok := testNamed(r.Test); ok && t.form != nil {
			reasons = appendReason(reasons, r, t.form(form, r.Value), OfPiece)
		}
	}
	return reasons
}

// appendReason turns a finding into a reason, if it is one.
func appendReason(reasons []Reason, r stash.Rule, f finding, of string) []Reason {
	answer := answerOf(r, f.state)
	if answer == stash.Nothing {
		return reasons
	}
	return append(reasons, Reason{Rule: Words(r), Answer: answer, Why: f.why, Of: of,
		Strict: !r.Lenient})
}

// answerOf reads a finding by a rule. What is unknown passes no rule but one
// that is lenient, which does not mind what is seldom recorded.
func answerOf(r stash.Rule, s state) stash.Answer {
	switch {
	case s == hit && r.Answer == stash.Ask:
		return stash.Ask
	case s == hit:
		return stash.Against
	case s == near:
		return stash.Ask
	case s == doubt, s != pass && !r.Lenient:
		return stash.Unknown
	case s == maybe:
		return stash.Ask
	}
	return stash.Nothing
}

// Readings gives a yarn's facts as shown, and once more for each value in
// dispute. Every test looks for any one thing, so reading the disputed fields
// one at a time finds what reading them together would.
func Readings(y stash.Yarn) []stash.YarnFacts {
	readings := []stash.YarnFacts{y.YarnFacts}
	for _, field := range slices.Sorted(maps.Keys(y.Disputed)) {
		for _, value := range y.Disputed[field] {
			readings = append(readings, with(y.YarnFacts, field, value))
		}
	}
	return readings
}

// with puts one value into a copy of the facts. A value that does not fit (of
// a newer version) leaves the field empty, which is unknown.
func with(y stash.YarnFacts, field string, value json.RawMessage) stash.YarnFacts {
	shown, err := json.Marshal(y)
	fields := map[string]json.RawMessage{}
	if err != nil || json.Unmarshal(shown, &fields) != nil {
		return stash.YarnFacts{}
	}
	delete(fields, field)
	bare, _ := json.Marshal(fields)
	var out stash.YarnFacts
	if json.Unmarshal(bare, &out) != nil {
		return stash.YarnFacts{}
	}
	out.Beside = y.Beside
	return set(out, field, value)
}

func set(y stash.YarnFacts, field string, value json.RawMessage) stash.YarnFacts {
	one, err := json.Marshal(map[string]json.RawMessage{field: value})
	filled := y
	if err != nil || json.Unmarshal(one, &filled) != nil {
		return y
	}
	return filled
}
