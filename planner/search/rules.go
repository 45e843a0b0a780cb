package search

import (
	"slices"

	"endsmeet/planner/kinds"
	"endsmeet/planner/together"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// against says why the person's rules keep a yarn out, empty if they do not.
func (g *gathering) against(id stash.YarnID) string {
	if g.query.Person == nil {
		return ""
	}
	why, known := g.barred[id]
	if known {
		return why
	}
	for _, r := range people.Suits(*g.query.Person, g.shelf.Yarns[id]).Reasons {
		if r.Blocks() {
			why = string(r.Answer) + " by the person's rules (" + r.Rule + "): " + r.Why
			break
		}
	}
	g.barred[id] = why
	return why
}

// kindRules reads the rules of a kind.
func kindRules(k kinds.Kind) []stash.Rule {
	var out []stash.Rule
	for _, text := range k.Rules {
		if r, err := people.ParseRule(text); err == nil {
			out = append(out, r)
		}
	}
	return out
}

// unfitFor says why a yarn will not do for the kind, empty where nothing recorded
// speaks against it.
func (g *gathering) unfitFor(y stash.Yarn) string {
	for _, rule := range g.rules {
		var p stash.Person
		p.Rules = []stash.Rule{rule}
		for _, r := range people.Suits(p, y).Reasons {
			if r.Answer == stash.Against {
				return "is not for a " + g.query.Kind.Name + " (" + r.Why + "): " + rule.Why
			}
		}
	}
	return ""
}

// pairing is two yarns in their parts.
type pairing struct {
	a, b     stash.YarnID
	bothWarp bool
}

// pairs remembers which yarns go together.
type pairs struct {
	yarns map[stash.YarnID]stash.Yarn
	sett  func(stash.YarnID) together.Use
	known map[pairing]together.Verdict
}

func (p *pairs) verdict(a, b stash.YarnID, bothWarp bool) together.Verdict {
	k := pairing{a, b, bothWarp}
	if bothWarp && b < a {
		k.a, k.b = b, a
	}
	if v, ok := p.known[k]; ok {
		return v
	}
	x, y := p.sett(k.a), p.sett(k.b)
	x.Role, y.Role = stash.RoleWarp, stash.RoleWeft
	if bothWarp {
		y.Role = stash.RoleWarp
	}
	v := together.Together(x, y, together.Setting{})
	p.known[k] = v
	return v
}

// allowed says whether all yarns of a choice go together.
func (p *pairs) allowed(c choice) bool {
	for i, w := range c.warp {
		if refused(p.verdict(w.yarn, c.weft.yarn, false)) {
			return false
		}
		for _, other := range c.warp[:i] {
			if refused(p.verdict(other.yarn, w.yarn, true)) {
				return false
			}
		}
	}
	return true
}

func refused(v together.Verdict) bool {
	return v.Answer == together.No || v.Answer == together.Effect
}

// notes are the cautions of a choice, gravest first, each once.
func (p *pairs) notes(c choice) []Note {
	var out []Note
	seen := map[string]bool{}
	add := func(v together.Verdict) {
		for _, r := range v.Reasons {
			if r.Answer != together.Fine && !seen[r.Why] {
				seen[r.Why] = true
				out = append(out, Note{r.Check, string(r.Answer), r.Why})
			}
		}
	}
	for i, w := range c.warp {
		add(p.verdict(w.yarn, c.weft.yarn, false))
		for _, other := range c.warp[:i] {
			add(p.verdict(other.yarn, w.yarn, true))
		}
	}
	return out
}

// Suited is a kind in a form that a person's rules do not stand against: hemmed
// where they rule its fringe out.
func Suited(k kinds.Kind, p *stash.Person) kinds.Kind {
	if p == nil || !formBlocked(k, *p) {
		return k
	}
	if hemmed := k.Hemmed(); !formBlocked(hemmed, *p) {
		return hemmed
	}
	return k
}

func formBlocked(k kinds.Kind, p stash.Person) bool {
	r := people.SuitsPiece(p, nil, people.FormOf(k.Facts))
	return slices.ContainsFunc(r.Reasons, func(one people.Reason) bool { return one.Of == "piece" && one.Blocks() })
}
