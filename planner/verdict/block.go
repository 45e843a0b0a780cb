package verdict

import (
	"slices"
	"strings"

	"endsmeet/stash"
)

// Key names a reason in the record of what was set aside: a rule of the
// recipient in its own words, else the question and what was looked at.
func (a Answer) Key(r Reason) string {
	if a.Question == Recipient {
		return r.Check
	}
	return string(a.Question) + ": " + r.Check
}

// Blocking are the keys of all reasons that need to be set aside, each once.
func (v Verdict) Blocking() []string {
	var out []string
	for _, a := range v.Answers {
		for _, r := range a.Reasons {
			if key := a.Key(r); r.Grade.Blocks() && !slices.Contains(out, key) {
				out = append(out, key)
			}
		}
	}
	return out
}

// Refused says why a use of yarn may not go on: the first answer that blocks it
// for a reason which no record sets aside yet. With a reason of the weaver's it
// may go on; nil where nothing stands in its way.
func (v Verdict) Refused(reason string, aside []stash.Override) error {
	if reason != "" {
		return nil
	}
	for _, a := range v.Answers {
		if a.open(aside) {
			return a.refusal()
		}
	}
	return nil
}

// open says whether a reason of an answer blocks and was not set aside.
func (a Answer) open(aside []stash.Override) bool {
	return slices.ContainsFunc(a.Reasons, func(r Reason) bool {
		return r.Grade.Blocks() && !slices.ContainsFunc(aside, func(o stash.Override) bool { return slices.Contains(o.Rules, a.Key(r)) })
	})
}

// refusal is the error that says so. What a recipient's rules say is private and
// errors end in logs, so their reasons are left out of it.
func (a Answer) refusal() error {
	const spite = "To go on all the same say why: --override REASON."
	if a.Question == Recipient {
		return stash.Refuse(stash.CodeAgainst, "Choose another yarn and ask them. "+spite, "this yarn must not reach the person it is for, by their own rules")
	}
	hint := spite
	if a.Do != "" {
		hint = a.Do + " " + spite
	}
	return stash.Refuse(stash.CodeRefused, hint, "%s? %s", a.Label, strings.TrimSuffix(capital(a.Words), "."))
}

// Aside is the record of what a weaver's reason sets aside, and whether there is
// anything to record. What touches the recipient's rules is private.
func (v Verdict) Aside(reason string, person stash.PersonID) (o stash.Override, private, any bool) {
	keys := v.Blocking()
	if reason == "" || len(keys) == 0 {
		return o, false, false
	}
	o = stash.Override{Reason: stash.Clean(reason), Rules: keys}
	if a, asked := v.Of(Recipient); asked && a.Grade.Blocks() {
		o.Person, private = person, true
	}
	return o, private, true
}
