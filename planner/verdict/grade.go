package verdict

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Grade is a step of the one ladder on which every answer stands.
type Grade string

// The grades, mildest first. What is not known is never a kind of yes.
const (
	Yes     Grade = "yes"
	Check   Grade = "check first"
	Unknown Grade = "not known"
	No      Grade = "no"
)

var ladder = []Grade{Yes, Check, Unknown, No}

// Compare puts the milder of two grades first.
func (g Grade) Compare(h Grade) int {
	return rank(g) - rank(h)
}

// Worse says whether g is a graver grade than h.
func (g Grade) Worse(h Grade) bool { return g.Compare(h) > 0 }

// Blocks says whether going on needs a reason: what is refused, and what is not
// known.
func (g Grade) Blocks() bool { return g.Worse(Check) }

// Question is one of the things that are asked of every use of yarn.
type Question string

// The questions, in the order in which equal grades are shown.
const (
	Enough    Question = "enough"
	Agree     Question = "agree"
	Lots      Question = "dye lots"
	Condition Question = "condition"
	Recipient Question = "recipient"
)

// Reason is what one check found, and what to do about it.
type Reason struct {
	Grade Grade `json:"grade"`
	// Check names what was looked at: felting, lent, a rule in its own words.
	Check string `json:"check"`
	Why   string `json:"why"`
	// Do is the one thing to do, empty where nothing is.
	Do string `json:"do,omitempty"`
}

// Answer is the answer to one question.
type Answer struct {
	Question Question `json:"question"`
	Grade    Grade    `json:"grade"`
	// Words say it in a line, Do what to do about it.
	Words string `json:"words"`
	Do    string `json:"do,omitempty"`
	// Reasons are all that was found, the worst first.
	Reasons []Reason `json:"reasons"`
	// Label is what the answer is headed by.
	Label string `json:"-"`

	// blocking names the reasons that need to be set aside, as the record of what was
	// has them, each once; person is whom an answer about a recipient is of.
	blocking []blocked
	person   stash.PersonID
}

// Verdict is all answers about one use of yarn, the worst on top.
type Verdict struct {
	Grade   Grade    `json:"grade"`
	Answers []Answer `json:"answers"`
}

// mostWords is how many reasons of the worst grade an answer says in its line.
const mostWords = 2

// answer makes the answer to a question of what was found. Its line says the
// worst reasons, or where there are none the words given.
func answer(q Question, label, fine string, reasons []Reason) Answer {
	a := Answer{Question: q, Grade: Yes, Label: label, Words: fine, Reasons: []Reason{}}
	for _, r := range reasons {
		if !slices.Contains(a.Reasons, r) {
			a.Reasons = append(a.Reasons, r)
		}
	}
	slices.SortStableFunc(a.Reasons, func(x, y Reason) int { return rank(y.Grade) - rank(x.Grade) })
	if len(a.Reasons) == 0 || a.Reasons[0].Grade == Yes {
		return a
	}
	for _, r := range a.Reasons {
		a.block(r, "")
	}
	a.Grade, a.Do = a.Reasons[0].Grade, a.Reasons[0].Do
	a.Words = string(a.Grade) + ": " + a.worst()
	return a
}

// worst says the reasons of the worst grade, the first few in full.
func (a Answer) worst() string {
	whys, told := a.whys()
	text := strings.Join(whys[:told], "; ")
	if more := len(whys) - told; more > 0 {
		text += "; and " + measure.Counted(more, "more reason")
	}
	return sentence(text)
}

// whys are the reasons of the worst grade, each once, and how many of them the line of the
// answer says in full.
func (a Answer) whys() (all []string, told int) {
	for _, r := range a.Reasons {
		if r.Grade == a.Grade && !slices.Contains(all, r.Why) {
			all = append(all, r.Why)
		}
	}
	if a.Question == Recipient {
		return all, len(all) // each rule, with its reason
	}
	return all, min(len(all), mostWords)
}

// Untold are the reasons that the line of an answer does not say.
func (a Answer) Untold() []string {
	if a.Grade == Yes {
		return nil
	}
	all, told := a.whys()
	out := slices.Clone(all[told:])
	for _, r := range a.Reasons {
		if r.Grade != Yes && !slices.Contains(all, r.Why) && !slices.Contains(out, r.Why) {
			out = append(out, r.Why)
		}
	}
	return out
}

func rank(g Grade) int { return slices.Index(ladder, g) }

// verdictOf puts answers in order, the worst on top.
func verdictOf(answers ...Answer) Verdict {
	v := Verdict{Grade: Yes, Answers: answers}
	order := []Question{Enough, Agree, Lots, Condition, Recipient}
	slices.SortStableFunc(v.Answers, func(a, b Answer) int {
		return cmp.Or(rank(b.Grade)-rank(a.Grade),
			slices.Index(order, a.Question)-slices.Index(order, b.Question))
	})
	if len(v.Answers) > 0 {
		v.Grade = v.Answers[0].Grade
	}
	return v
}

// Of finds the answer to a question; false where it was not asked.
func (v Verdict) Of(q Question) (Answer, bool) {
	i := slices.IndexFunc(v.Answers, func(a Answer) bool { return a.Question == q })
	if i < 0 {
		return Answer{}, false
	}
	return v.Answers[i], true
}

// Only is the part of a verdict that answers some questions.
func (v Verdict) Only(questions ...Question) Verdict {
	return verdictOf(slices.DeleteFunc(slices.Clone(v.Answers),
		func(a Answer) bool { return !slices.Contains(questions, a.Question) })...)
}
