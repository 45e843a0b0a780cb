package verdict

import (
	"fmt"

	"endsmeet/stash"
	"endsmeet/stash/people"
)

// The words for what is no reason in a yarn.
const (
	noRuleBroken = "no rule broken, as far as recorded. Ask all the same."
	noRules      = "no rules are recorded for this person: ask them"
	notHere      = "the rules of this person are kept on another machine: ask them"
)

// Yarn answers whether a yarn may reach somebody; false where nobody is named.
func (w Whom) Yarn(y stash.Yarn) (Answer, bool) {
	if w.Person == nil || w.Elsewhere {
		return w.nobody()
	}
	return w.answer(people.Suits(*w.Person, y)), true
}

// piece answers whether a piece of such parts and form may reach somebody.
func (w Whom) piece(parts []people.Part, form people.PieceForm) (Answer, bool) {
	if w.Person == nil || w.Elsewhere {
		return w.nobody()
	}
	return w.answer(people.SuitsPiece(*w.Person, parts, form)), true
}

func (w Whom) nobody() (Answer, bool) {
	if !w.Elsewhere {
		return Answer{}, false
	}
	return answer(Recipient, "For whom it is", "",
		[]Reason{{Unknown, "person", notHere,
			"Share the rules with this machine: endsmeet config people.sync yes."}}), true
}

func (w Whom) answer(r people.Result) Answer {
	label := "For " + stash.Clean(w.Person.Name)
	var reasons []Reason
	for _, one := range r.Reasons {
		reasons = append(reasons, reasonOf(one))
	}
	if len(reasons) == 0 && len(w.Person.Rules) == 0 {
		reasons = append(reasons, Reason{Check, "no rules", noRules, ""})
	}
	a := answer(Recipient, label, noRuleBroken, reasons)
	a.person, a.blocking = w.Person.ID, nil
	for _, one := range r.Reasons {
		a.block(reasonOf(one), one.Yarn)
	}
	return a
}

// reasonOf puts a reason of a recipient's rules on the ladder.
func reasonOf(r people.Reason) Reason {
	out := Reason{Grade: GradeOfRule(r), Check: r.Rule, Why: fmt.Sprintf("%s (%s)", r.Why, r.Rule)}
	if r.Of != "" && r.Of != people.OfPiece {
		out.Why = r.Of + ": " + out.Why
	}
	switch out.Grade {
	case No:
		out.Do = "Choose another yarn, and ask them."
		if r.Of == people.OfPiece {
			out.Do = "Plan the piece without it, and ask them."
		}
	case Unknown:
		out.Do = "Find it out and record it, or choose another yarn."
	case Check:
		out.Do = "Ask them first."
	}
	return out
}

// FormBlocked says why somebody's rules stand against the form of a piece, whatever it is
// woven of; empty where they do not.
func FormBlocked(p stash.Person, b stash.ProjectFacts) string {
	for _, one := range people.SuitsPiece(p, nil, people.FormOf(b)).Reasons {
		if r := reasonOf(one); one.Of == people.OfPiece && r.Grade.Blocks() {
			return r.Why
		}
	}
	return ""
}

// GradeOfRule is where a reason of somebody's rules stands on the ladder: what
// blocks by their own words is refused or not known, all else is asked about.
func GradeOfRule(r people.Reason) Grade {
	switch {
	case r.Answer == stash.Against:
		return No
	case r.Blocks():
		return Unknown
	}
	return Check
}
