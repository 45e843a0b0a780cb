package verdict

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
)

// blocked is a reason that needs to be set aside: what the record of that calls it, and
// where it stands.
type blocked struct {
	key   string
	grade Grade
}

// block names a reason among those that need to be set aside, if it does: of a
// recipient a rule with the yarn that breaks it, so that a reason for one yarn is
// none for the next; else the question and what was looked at.
func (a *Answer) block(r Reason, of stash.YarnID) {
	key := string(a.Question) + ": " + r.Check
	if a.Question == Recipient {
		key = r.Check
	}
	if of != "" {
		key += fmt.Sprintf(" (yarn %s)", of)
	}
	if b := (blocked{key, r.Grade}); r.Grade.Blocks() && !slices.Contains(a.blocking, b) {
		a.blocking = append(a.blocking, b)
	}
}

// blocking names all reasons that need to be set aside.
func (v Verdict) blocking() []string {
	var out []string
	for _, a := range v.Answers {
		for _, b := range a.blocking {
			if !slices.Contains(out, b.key) {
				out = append(out, b.key)
			}
		}
	}
	return out
}

// Refused says why a use of yarn may not go on: every answer that blocks it for a
// reason which no record sets aside yet, since the weaver's reason is one for all
// of them. With a reason of the weaver's it may go on; nil where nothing stands in
// its way.
func (v Verdict) Refused(reason string, aside []stash.Override) error {
	if reason != "" {
		return nil
	}
	var open []Answer
	for _, a := range v.Answers {
		if grade := a.open(aside); grade.Blocks() {
			a.Grade = grade
			open = append(open, a)
		}
	}
	if len(open) == 0 {
		return nil
	}
	return refusal(open)
}

// open is the grade of the worst reason of an answer that blocks and was not set aside,
// for this very person where it is about one; Yes where there is none.
func (a Answer) open(aside []stash.Override) Grade {
	worst := Yes
	for _, b := range a.blocking {
		set := slices.ContainsFunc(aside, func(o stash.Override) bool {
			return slices.Contains(o.Rules, b.key) &&
				(a.Question != Recipient || o.Person == a.person)
		})
		if !set && b.grade.Worse(worst) {
			worst = b.grade
		}
	}
	return worst
}

// private says of a recipient what a refusal may say of their rules, and what to do, by
// the grade of what stands against it.
var private = map[Grade][2]string{
	No: {"this yarn must not reach the person it is for, by their own rules",
		"Choose another yarn and ask them."},
	Unknown: {"whether this yarn may reach the person it is for is not known: what their " +
		"own rules ask about is not recorded of it",
		"Find it out and record it, or choose another yarn; and ask them."},
}

// refusal is the error that says so of answers that block. What a recipient's rules
// say is private and errors end in logs, so their reasons are left out of it.
func refusal(open []Answer) error {
	const spite = "To go on all the same say why: --override REASON."
	code, do := stash.CodeRefused, ""
	var whys []string
	for _, a := range open {
		if a.Question == Recipient {
			code = stash.CodeAgainst
		}
		why := a.Label + "? " + strings.TrimSuffix(Capital(a.Words), ".")
		if a.Question == Recipient && a.person != "" {
			why, do = private[a.Grade][0], private[a.Grade][1]
			if len(whys) > 0 {
				why = Capital(why)
			}
		}
		whys, do = append(whys, why), cmp.Or(do, a.Do)
	}
	return stash.Refuse(code, strings.TrimSpace(do+" "+spite), "%s", strings.Join(whys, ". "))
}

// Aside is the record of what a weaver's reason sets aside, and whether there is
// anything to record. What touches the recipient's rules is private.
func (v Verdict) Aside(reason string, person stash.PersonID) (o stash.Override, private, any bool) {
	keys := v.blocking()
	if reason == "" || len(keys) == 0 {
		return o, false, false
	}
	o = stash.Override{Reason: stash.Clean(reason), Rules: keys}
	if a, asked := v.Of(Recipient); asked && a.Grade.Blocks() {
		o.Person, private = person, true
	}
	return o, private, true
}
