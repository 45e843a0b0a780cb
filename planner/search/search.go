package search

import (
	"context"
	"fmt"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Find searches a shelf once; a [Stock] serves those who ask more often.
func Find(ctx context.Context, shelf making.Shelf, q Query) (Result, error) {
	return NewStock(shelf, q).Find(ctx, q)
}

// Find searches a stock. Of a kind whose stripes are fixed its own plan is the only answer.
// What the gate says a plain yes to comes before what it asks of, then by score: where it
// asks of some, answers are looked for among more than are wanted. It fails for a kind whose
// size makes no sense, and where the context ends first.
func (st *Stock) Find(ctx context.Context, q Query) (Result, error) {
	if err := q.check(); err != nil {
		return Result{}, err
	}
	if err := q.fixed(); err != nil && !q.named() {
		return Result{}, err
	}
	plan, f := st.planning(q)
	known := map[tuple]planned{}
	found, err := plan.planned(ctx, f, known)
	wanted := q.top()
	asked := slices.ContainsFunc(found, func(p planned) bool { return p.answer.Grade != verdict.Yes })
	if f.top = wider * wanted; err == nil && asked && len(found) == wanted {
		found, err = plan.planned(ctx, f, known)
	}
	if err != nil {
		return Result{}, err
	}
	slices.SortStableFunc(found, func(a, b planned) int { return a.answer.Compare(b.answer) })
	out := Result{Kind: q.Kind, LeftOut: f.gathering.leftOut, Looked: f.looked}
	for _, one := range found[:min(len(found), wanted)] {
		out.Answers = append(out.Answers, plan.shaped(one))
	}
	return out, st.Err()
}

// wider is among how many times as many answers as are wanted those are looked for that need
// not be asked about.
const wider = 3

// planned is what the plan of a choice came to; ok is false where no size of it is sure.
type planned struct {
	answer Answer
	of     found
	ok     bool
}

// planned is the best answers by score, in no order, each with what the gate says of it.
// What is planned is added to what is known, and nothing is planned twice.
func (p *planning) planned(ctx context.Context, f *finder, known map[tuple]planned) ([]planned,
	error) {
	if p.query.fixed() == nil {
		if err := f.run(ctx, p.query.colours()); err != nil {
			return nil, err
		}
	}
	var out []planned
	for _, one := range f.best {
		is, seen := known[one.place]
		if !seen {
			is.of = one
			is.answer, is.ok = p.answer(one)
			known[one.place] = is
		}
		if is.ok {
			out = append(out, is)
		}
	}
	out = p.withPlanned(out)
	for i := range out {
		a := &out[i].answer
		a.Grade = verdict.OfPlan(a.Shelf, a.Outcome, verdict.Whom{Person: p.query.Person}).Grade
	}
	return out, nil
}

// Candidates are what a search finds, before it is planned with the losses of its own
// yarns, the best first.
type Candidates struct {
	Candidates []Candidate
	LeftOut    []making.LeftOut
	Looked     int
}

// Candidate is a choice that was found.
type Candidate struct {
	found found
	plan  *planning
}

// Candidates searches a stock as Find does, and plans nothing.
func (st *Stock) Candidates(ctx context.Context, q Query) (Candidates, error) {
	if err := q.check(); err != nil {
		return Candidates{}, err
	}
	if err := q.fixed(); err != nil {
		return Candidates{}, err
	}
	plan, f := st.planning(q)
	if err := f.run(ctx, q.colours()); err != nil {
		return Candidates{}, err
	}
	out := Candidates{LeftOut: f.gathering.leftOut, Looked: f.looked}
	for _, one := range f.best {
		out.Candidates = append(out.Candidates, Candidate{one, plan})
	}
	return out, nil
}

// Answer plans a candidate; false where no size of it would fit after all, or its packages
// could not be read ([Stock.Err]).
func (c Candidate) Answer() (Answer, bool) {
	a, ok := c.plan.answer(c.found)
	if !ok {
		return a, false
	}
	return c.plan.shaped(planned{answer: a, of: c.found}), true
}

// Score is what a candidate was found with, from 0 to 1000.
func (c Candidate) Score() int { return c.found.place.bound / 1000 }

// Take is what a choice takes of the packages of one of its lots, on the middle
// figures.
type Take struct {
	Packages []stash.PackageID
	Mass     measure.Mass
}

// Takes is what a candidate takes of each of its lots.
func (c Candidate) Takes() []Take {
	var out []Take
	for _, l := range c.found.choice.lots() {
		used := c.plan.judge.usedOf(c.found.choice, l, c.found.trial)
		out = append(out, Take{l.ids(), measure.Mass(float64(used) * l.tex)})
	}
	return out
}

// named says whether the project names the yarn of its warp and of its weft.
func (q Query) named() bool { return len(q.Kind.Facts.Warp) > 0 && len(q.Kind.Facts.Weft) > 0 }

// fixed refuses a kind whose stripes or ends are fixed: no other warp can be looked for.
func (q Query) fixed() error {
	if !q.Kind.Facts.FixedWarp() {
		return nil
	}
	what := "ends"
	if len(q.Kind.Facts.Stripes) > 0 {
		what = "stripes"
	}
	return stash.Refuse(stash.CodeRefused,
		"`endsmeet plan` answers for it; without its "+what+" it can be searched for",
		"the %s of %s are fixed already, and it does not name its warp and its weft", what, q.Kind.Name)
}

func (q Query) check() error {
	f := q.Kind.Facts
	switch {
	case f.Width <= 0 || f.Length <= 0:
		return stash.Refuse(stash.CodeInput, "give the project a width and a length",
			"%s has no size", q.Kind.Name)
	case q.colours() > maxColours:
		return stash.Refuse(stash.CodeInput, fmt.Sprintf("ask for at most %d", maxColours),
			"%d colours are more than the search goes through", q.Colours)
	}
	return nil
}

// planning is a search that is prepared and not yet run, and the planning of what it finds,
// which does not keep the trees that were searched.
func (st *Stock) planning(q Query) (*planning, *finder) {
	_, f := st.prepare(q)
	return &planning{stock: st, query: q, judge: f.judge.atMiddle()}, f
}

// prepare gathers the lots of a query and makes a finder over them.
func (st *Stock) prepare(q Query) (*gathering, *finder) {
	figures := st.newFigurer(q.Kind)
	g := st.gather(q, figures)
	f := &finder{judge: newJudge(q, st.shelf.Spec(q.Kind.Facts), st.shelf.Settings.Join),
		gathering: g, top: q.top(),
		pairs: &pairs{yarns: st.shelf.Yarns, known: map[pairing]together.Agreement{}, aside: q.Aside}}
	f.pairs.use = func(id stash.YarnID, role stash.Role) together.Use {
		u := together.Use{Yarn: st.shelf.Yarns[id], Role: role}
		if loss, known := st.own[id]; known {
			u.Loss = &loss
		}
		if u.Sett = figures.of(id).picks; role == stash.RoleWarp {
			u.Sett = figures.of(id).sett
		}
		return u
	}
	f.plant()
	return g, f
}
