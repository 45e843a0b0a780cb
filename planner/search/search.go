package search

import (
	"cmp"
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
// What the gate says a plain yes to comes before what it asks of, then by score: the best by
// score are gone through until there are enough of the former, or as many as are looked
// through. It fails for a kind whose size makes no sense, and where the context ends first.
func (st *Stock) Find(ctx context.Context, q Query) (Result, error) {
	if err := q.check(); err != nil {
		return Result{}, err
	}
	wanted := q.top()
	q.Top = max(wider*wanted, looked)
	plan, f := st.planning(q)
	var all []planned
	var err error
	if fixed := q.fixed(); fixed == nil {
		all, err = plan.planned(ctx, f, wanted)
	} else if !q.named() {
		return Result{}, fixed
	}
	if err != nil {
		return Result{}, err
	}
	all = plan.withPlanned(all)
	for i := range all {
		all[i].answer.Grade = plan.graded(all[i].answer).Grade
	}
	slices.SortStableFunc(all, func(a, b planned) int { return a.answer.Compare(b.answer) })
	out := Result{Kind: q.Kind, LeftOut: f.gathering.leftOut, Looked: f.looked}
	for _, one := range all[:min(len(all), wanted)] {
		out.Answers = append(out.Answers, plan.shaped(one))
	}
	return out, st.Err()
}

// Of the best by score are looked through for such as need not be asked about: so many times
// as many as are wanted, and so many at least, that the first of one answer is that of ten.
const wider, looked = 3, 30

// planned is what the plan of a choice came to.
type planned struct {
	answer Answer
	of     found
}

// planned plans what a finder finds, the best by score first: what need not be asked about
// until there are enough, then what may be better than the last of them, then as many of the
// others as are wanting, those that are graded best first.
func (p *planning) planned(ctx context.Context, f *finder, wanted int) (out []planned, _ error) {
	f.begin(p.query.colours())
	type asked struct {
		found
		grade verdict.Grade
	}
	var others []asked
	for {
		one, ok, err := f.next(ctx)
		if err != nil {
			return nil, err
		}
		enough := len(out) >= wanted
		if !ok || enough &&
			p.within(one, Parts{Size: swell, Use: swell}) <= out[wanted-1].answer.Score {
			break
		}
		if enough && p.within(one, one.swollen()) <= out[wanted-1].answer.Score {
			continue
		}
		if grade := p.gradeOf(one); grade != verdict.Yes {
			others = append(others, asked{one, grade})
		} else if a, ok := p.answer(one); ok {
			out = append(out, planned{a, one})
			slices.SortStableFunc(out, func(a, b planned) int {
				return cmp.Compare(b.answer.Score, a.answer.Score)
			})
		}
	}
	slices.SortStableFunc(others, func(a, b asked) int { return a.grade.Compare(b.grade) })
	for _, one := range others {
		if len(out) >= wanted {
			break
		}
		if a, ok := p.answer(one.found); ok {
			out = append(out, planned{a, one.found})
		}
	}
	return out, nil
}

// swell is how much more of the size and of the yarn than was found, as a share of it, a
// choice may have when it is planned with the losses of its own yarns; more is seldom seen.
const swell = 0.05

// swollen is how much more the parts of a choice may come to, which are no more than whole.
func (f found) swollen() Parts {
	return Parts{Size: min(swell*f.parts.Size, 1-f.parts.Size),
		Use: min(swell*f.parts.Use, 1-f.parts.Use)}
}

// within is the score that a choice has if its parts come to more by so much.
func (p *planning) within(f found, more Parts) int {
	return (f.place.bound + p.query.Weights.score(more)) / 1000
}

// gradeOf is what the gate says of a choice whatever its size: not whether there is enough.
func (p *planning) gradeOf(f found) verdict.Grade {
	a, err := p.at(f)
	if err != nil {
		return verdict.No
	}
	v := p.graded(a).Only(verdict.Agree, verdict.Lots, verdict.Condition, verdict.Recipient)
	return cmp.Or(v.Grade, verdict.Yes)
}

// graded is what the gate says of an answer.
func (p *planning) graded(a Answer) verdict.Verdict {
	return verdict.OfPlan(a.Shelf, a.Outcome, verdict.Whom{Person: p.query.Person})
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
