package search

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Reason says why a package, or a lot in a part, is not chosen.
type Reason struct {
	Package stash.PackageID `json:"item"`
	Label   string          `json:"label"`
	// Role is warp or weft, empty where the reason holds for both.
	Role stash.Role `json:"role,omitempty"`
	Why  string     `json:"why"`
}

// Explanation says why a lot or a yarn is or is not among the answers.
type Explanation struct {
	Reasons []Reason
	// Best is the best choice that it takes part in, nil if there is none.
	Best *Answer
	// Place is where that choice stands among all, from 1; 0 where it stands below
	// the answers asked for.
	Place int
	// Last is the score of the last answer asked for, 0 if there are fewer.
	Last int
}

// Why explains what keeps lots of one yarn out of the answers to a query.
func (st *Stock) Why(ctx context.Context, q Query, which func(stash.DyeLot) bool) (Explanation,
	error) {
	all, err := st.Find(ctx, q)
	if err != nil {
		return Explanation{}, err
	}
	st.Ask(which)
	top := q.top()
	q.Top = 1
	with, err := st.Find(ctx, q)
	if err != nil {
		return Explanation{}, err
	}
	var e Explanation
	if len(all.Answers) == top {
		e.Last = all.Answers[top-1].Score
	}
	if len(with.Answers) > 0 {
		e.Best = &with.Answers[0]
		e.Place = placeOf(all.Answers, *e.Best)
	}
	g, f := st.prepare(q)
	for _, l := range g.leftOut {
		if which(st.lotOf(st.packs[st.places[l.ID]])) {
			e.Reasons = append(e.Reasons, Reason{Package: l.ID, Label: l.Label, Why: l.Reason})
		}
	}
	e.Reasons = append(e.Reasons, f.explain(g, which)...)
	return e, nil
}

func placeOf(all []Answer, a Answer) int {
	for i, o := range all {
		if fmt.Sprint(o.Warp, o.Weft) == fmt.Sprint(a.Warp, a.Weft) {
			return i + 1
		}
	}
	return 0
}

// explain says for every one of such lots what it lacks as warp and as weft, and
// which partners it does not go with.
func (f *finder) explain(g *gathering, which func(stash.DyeLot) bool) []Reason {
	var out []Reason
	var yarn stash.YarnID
	for _, l := range g.all() {
		if which(g.stock.lotOf(l.of)) {
			yarn = l.yarn
			out = append(out, f.explainWarp(g, l), f.explainWeft(g, l))
		}
	}
	if yarn != "" {
		out = append(out, f.explainPartners(g, yarn)...)
	}
	kept := out[:0]
	for _, r := range out {
		if r.Why != "" {
			kept = append(kept, r)
		}
	}
	return kept
}

func (f *finder) explainWarp(g *gathering, l *lot) Reason {
	r := Reason{Package: l.packs[0].id, Label: l.label, Role: stash.RoleWarp}
	if !l.asWarp {
		r.Why = g.ware(l.at).noWarp
		if r.Why == "" {
			r.Why = "the project names another warp"
		}
		return r
	}
	j := f.judge
	at := j.sizeAt(j.least)
	s := j.spec(choice{[]*lot{l}, l}, at)
	line, err := s.WarpLine()
	if err != nil {
		r.Why = err.Error()
		return r
	}
	ends, end := s.ThreadedFor()+s.Ends.Floats, line.End(at.length)
	if most, what, known := s.MaxThreaded(); known && ends-s.Ends.Floats > most {
		r.Why = fmt.Sprintf("the least size takes %d ends, more than %s allows (%d)", ends, what,
			most)
	} else if have := j.capacity(l, end); have < ends {
		r.Why = fmt.Sprintf("gives %d whole ends of %s; the least size takes %d", have,
			end.Planned(g.shelf.Settings.Units), ends)
	}
	return r
}

func (f *finder) explainWeft(g *gathering, l *lot) Reason {
	r := Reason{Package: l.packs[0].id, Label: l.label, Role: stash.RoleWeft}
	if !l.asWeft {
		r.Why = g.ware(l.at).noWeft
		if r.Why == "" {
			r.Why = "the project names another weft"
		}
		return r
	}
	j := f.judge
	at := j.sizeAt(j.least)
	s := j.spec(choice{[]*lot{l}, l}, at)
	units := g.shelf.Settings.Units
	if need := j.weftFor(s, s.ThreadedFor(), l); l.join < need {
		r.Why = fmt.Sprintf("%s with 97.5%%, joins taken off; the least size takes about %s",
			l.join.Yarn(units), min(need, measure.Length(1e12)).Yarn(units))
	}
	return r
}

// explainPartners counts the lots that a yarn does not go with, in each part
// that it may have, and gives the reason that keeps most of them off.
func (f *finder) explainPartners(g *gathering, yarn stash.YarnID) []Reason {
	var out []Reason
	for _, part := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
		refusedBy, partners, whys := 0, 0, map[string]int{}
		may := slices.ContainsFunc(g.all(), func(l *lot) bool {
			return l.yarn == yarn &&
				(part == stash.RoleWarp && l.asWarp || part == stash.RoleWeft && l.asWeft)
		})
		for _, l := range g.all() {
			as := part == stash.RoleWarp && l.asWeft || part == stash.RoleWeft && l.asWarp
			if !may || l.yarn == yarn || !as {
				continue
			}
			partners++
			if v := f.pairs.inPart(part, yarn, l.yarn); verdict.Refuses(v) {
				refusedBy++
				whys[reasonOf(v)]++
			}
		}
		if refusedBy > 0 {
			out = append(out, Reason{Label: g.shelf.Yarns[yarn].Name, Role: part,
				Why: fmt.Sprintf("does not go with %d of %d others: %s", refusedBy, partners,
					mostOf(whys))})
		}
	}
	return out
}

// inPart holds a yarn in a part against another in the other part.
func (p *pairs) inPart(part stash.Role, yarn, other stash.YarnID) together.Agreement {
	if part == stash.RoleWeft {
		yarn, other = other, yarn
	}
	return p.verdict(yarn, other, false)
}

// mostOf is the reason that stands most often, the first by letters among
// equals.
func mostOf(whys map[string]int) string {
	best := ""
	for _, why := range slices.Sorted(maps.Keys(whys)) {
		if best == "" || whys[why] > whys[best] {
			best = why
		}
	}
	return best
}

func reasonOf(v together.Agreement) string {
	if len(v.Reasons) == 0 {
		return string(v.Answer)
	}
	return v.Reasons[0].Why
}
