package search

import (
	"endsmeet/planner/kinds"
	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
)

// against says why the person's rules keep a yarn out, empty if they do not.
func (g *gathering) against(y stash.Yarn) string {
	if g.query.Person == nil || g.query.Aside {
		return ""
	}
	whom := verdict.Whom{Person: g.query.Person}
	if a, _ := whom.Yarn(y); a.Grade.Blocks() {
		return "by the person's rules " + a.Words
	}
	return ""
}

// unfitFor says why a yarn will not do for the kind in a role, or at all, empty where nothing
// recorded speaks against it.
func (g *gathering) unfitFor(y stash.Yarn, role stash.Role) string {
	for _, r := range g.fitness.Unfit(y, role) {
		return r.Why
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
	use   func(stash.YarnID, stash.Role) together.Use
	known map[pairing]together.Agreement
	aside bool // a reason lets every pair through
}

func (p *pairs) verdict(a, b stash.YarnID, bothWarp bool) together.Agreement {
	k := pairing{a, b, bothWarp}
	if bothWarp && b < a {
		k.a, k.b = b, a
	}
	if v, ok := p.known[k]; ok {
		return v
	}
	y := p.use(k.b, stash.RoleWeft)
	if bothWarp {
		y = p.use(k.b, stash.RoleWarp)
	}
	x := p.use(k.a, stash.RoleWarp)
	v := verdict.Pair(x, y, together.Setting{})
	p.known[k] = v
	return v
}

// allowed says whether all yarns of a choice go together.
func (p *pairs) allowed(c choice) bool {
	if p.aside {
		return true
	}
	for i, w := range c.warp {
		if verdict.Refuses(p.verdict(w.yarn, c.weft.yarn, false)) {
			return false
		}
		for _, other := range c.warp[:i] {
			if verdict.Refuses(p.verdict(other.yarn, w.yarn, true)) {
				return false
			}
		}
	}
	return true
}

// Suited is a kind in a form that a person's rules do not stand against: hemmed
// where they rule its fringe out. A project stays as it was written down.
func Suited(k kinds.Kind, p *stash.Person) kinds.Kind {
	if p == nil || k.Project != "" || verdict.FormBlocked(*p, k.Facts) == "" {
		return k
	}
	if hemmed := k.Hemmed(); verdict.FormBlocked(*p, hemmed.Facts) == "" {
		return hemmed
	}
	return k
}
