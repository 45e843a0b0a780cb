package verdict

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"endsmeet/planner/chance"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

const (
	conditionLabel = "Condition"
	conditionFine  = "yes, as far as recorded."
)

// condition answers for the state of what goes into a piece, whether it is fit
// for what the piece is, and what was named and could not be taken.
func (c Case) condition(s making.Shelf) Answer {
	var reasons []Reason
	said := map[stash.PackageID]bool{}
	use := FitnessOf(kinds.LikeOf(c.Facts))
	for _, part := range c.Parts {
		for _, p := range part.Packages {
			barred := barReason(s, p, part.Role)
			said[p.ID] = said[p.ID] || len(barred) > 0
			reasons = append(reasons, barred...)
		}
		for _, r := range use.Unfit(part.Yarn, part.Role) {
			r.Why = part.Yarn.Name + " " + r.Why
			reasons = append(reasons, r)
		}
		reasons = append(reasons, unwashed(part.Yarn)...)
		reasons = append(reasons, weak(part)...)
		if !slices.ContainsFunc(part.Packages, apart) { // else that is said
			reasons = append(reasons, spreading(s, part)...)
		}
	}
	for _, l := range c.LeftOut {
		if !said[l.ID] {
			reasons = append(reasons, Reason{c.withoutIt(s, l.ID), "left out", l.Label + " " + l.Reason +
				", and is not counted", ""})
		}
	}
	return answer(Condition, conditionLabel, conditionFine, reasons)
}

// withoutIt grades a package that is left out: it must not be taken, as giving it away says,
// where there is not enough without it, and else is to be known.
func (c Case) withoutIt(s making.Shelf, id stash.PackageID) Grade {
	i := slices.IndexFunc(s.Packages, func(p stash.Package) bool { return p.ID == id })
	if i < 0 || c.Size == nil || c.Size.Verdict != chance.Short || s.Bar(s.Packages[i]) == stash.BarPromised {
		return Check
	}
	return No
}

// apart says whether a package was kept apart, or frozen.
func apart(p stash.Package) bool { return p.Quarantine != nil || p.Frozen != "" }

// spreading asks about a yarn of which a word tells of insects or mould, before it lies
// with other yarn on the loom.
func spreading(s making.Shelf, part Part) []Reason {
	var out []Reason
	for _, why := range people.Alive(part.Yarn.YarnFacts) {
		do := "Look it over away from other yarn."
		if len(part.Packages) > 0 {
			label := part.Packages[0].Label()
			do += " Once it was frozen: `" + stash.Command("set", label, "frozen=DATE") +
				"`. To keep it apart: " + stash.Command("set", label,
				"quarantine="+s.Now.Format(time.DateOnly)+" seen")
		}
		out = append(out, Reason{Check, "spreading", part.Yarn.Name + ": " + why, do})
	}
	return out
}

// weak asks about a yarn of which a word tells that it may break on the loom or in use.
func weak(part Part) []Reason {
	label := part.Yarn.Name
	if len(part.Packages) > 0 {
		label = part.Packages[0].Label()
	}
	do := "Tug it hard at several places. Where it holds: `" + stash.Command("set", label, "fit=warp") +
		"`; where it gives: " + stash.Command("set", label, "hazards=perished")
	whys := people.Weak(part.Yarn.YarnFacts)
	if len(whys) == 0 {
		return nil
	}
	return []Reason{{Check, "weak", part.Yarn.Name + ": " + strings.Join(whys, ", "), do}}
}

// unwashed asks about a yarn that is to be washed before somebody has it next to the nose.
func unwashed(y stash.Yarn) []Reason {
	var out []Reason
	if slices.Contains(y.Hazards, "oil") {
		out = append(out, Reason{Check, "oil", y.Name + " is in spinning oil",
			"Scour the yarn, or the cloth."})
	}
	if smell := people.Smell(y.YarnFacts); smell != "" {
		why := y.Name + " smells"
		if smell != "smells" {
			why += " of " + stash.Clean(smell)
		}
		out = append(out, Reason{Check, "smell", why, "Wash and air it, and smell it again."})
	}
	return out
}

// barReason says what keeps a package from a role.
func barReason(s making.Shelf, p stash.Package, role stash.Role) []Reason {
	why, grade := s.BarredAs(p, role), No
	if why == "" {
		return nil
	}
	if s.Bar(p) == stash.BarPromised {
		grade = Check
	}
	return []Reason{{grade, string(s.Bar(p)), p.Label() + " " + why, doOf(s, p)}}
}

// handed says what is to be known of a package that is handed on as it is. What
// is weak or unfit to be woven may do for something else.
func handed(s making.Shelf, p stash.Package) []Reason {
	bar := s.Bar(p)
	r := Reason{Check, string(bar), p.Label() + " " + s.Barred(p), doOf(s, p)}
	switch bar {
	case "", stash.BarEmpty, stash.BarRetired: // the ledger answers for those
		return nil
	case stash.BarQuarantine:
		r.Grade = No
	case stash.BarPerished, stash.BarUnfit:
		r.Do = "Tell them so."
	}
	return []Reason{r}
}

// doOf is the one thing to do about a bar.
func doOf(s making.Shelf, p stash.Package) string {
	switch s.Bar(p) {
	case stash.BarLent:
		return "When it is back: " + stash.Command("return", p.Label())
	case stash.BarQuarantine:
		if p.Quarantine.Over(s.Now) {
			return "Look for grubs, webs and cast skins, then: " + stash.LiftQuarantine(p.Label())
		}
		return "Wait until the quarantine is over, look, then: " + stash.LiftQuarantine(p.Label())
	case stash.BarEmpty:
		return "If there is some: " + stash.Command("weigh", p.Label(), "WEIGHT")
	case stash.BarPerished:
		return "Test its strength; it may do for stuffing."
	}
	return "Choose another."
}

// Fitness is what the yarn for a usual piece must not be: what prickles is no
// scarf, paper no towel, what gives no warp of a rug.
type Fitness struct {
	kind  string
	tight bool
	rules []stash.Person // one for each rule, with its reason
}

// FitnessOf reads the rules of a kind.
func FitnessOf(k kinds.Kind) Fitness {
	f := Fitness{kind: k.Name, tight: k.Tight}
	for _, text := range k.Rules {
		if rule, err := people.ParseRule(text); err == nil {
			var one stash.Person
			one.Rules = []stash.Rule{rule}
			f.rules = append(f.rules, one)
		}
	}
	return f
}

// Unfit says what speaks against a yarn for the piece in a role, empty for what holds in each;
// each reason goes on from the name of the yarn. Who names the yarn may weave it all the same.
func (f Fitness) Unfit(y stash.Yarn, role stash.Role) []Reason {
	var out []Reason
	say := func(format string, args ...any) {
		out = append(out, Reason{Check, "use", fmt.Sprintf(format, args...),
			"Choose another yarn, or weave and wash a sample."})
	}
	for _, one := range f.rules {
		for _, r := range people.Suits(one, y).Reasons {
			if r.Answer == stash.Against {
				say("is not for a %s (%s): %s", f.kind, r.Why, one.Rules[0].Why)
			}
		}
	}
	if f.tight && role == stash.RoleWarp && slices.ContainsFunc(people.Readings(y), stash.YarnFacts.Stretchy) {
		say("is not for the warp of a %s (it stretches): a warp that gives does not lie firm", f.kind)
	}
	return out
}
