package search

import (
	"cmp"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// planning plans the answers of a search anew, each with the losses of its own
// yarns.
type planning struct {
	stock *Stock
	query Query
	judge *judge
}

// answer plans what was found. It is false where no size would be sure.
func (p *planning) answer(f found) (Answer, bool) {
	return p.fitted(f, p.judge.sizeAt(1000), p.judge.scaleFrom(f.at))
}

// shaped is an answer that, where something keeps it below the wanted size, says too in which
// other shape the piece would be larger. Of a project's own plan no shape is looked for.
func (p *planning) shaped(one planned) Answer {
	j, a, f := p.judge, one.answer, one.of
	if a.AsNamed || a.Scale >= 1000 {
		return a
	}
	var ok bool
	at := size{a.Project.Width, a.Project.Length}
	if f.at, f.trial, ok = j.shaped(f.choice, at); ok {
		other, fits := p.fitted(f, f.at, 1000)
		shape := size{other.Project.Width, other.Project.Length}
		if fits && j.area(shape) >= larger*j.area(at) {
			a.Larger = &Size{shape.width, shape.length}
		}
	}
	return a
}

// fitted is the largest sure plan of a choice at no more than whole, sought from so many
// thousandths of it: with the losses of its own yarns together it may be a little more or
// less than what was found. It is false where none is sure.
func (p *planning) fitted(f found, whole size, from int) (Answer, bool) {
	return p.largest(from, func(scale int) (Answer, bool) {
		f.at = p.judge.times(whole, scale)
		if f.trial = p.judge.try(f.choice, f.at); !f.trial.ok {
			return Answer{Short: f.trial.short}, false
		}
		a, err := p.at(f)
		if a.Short = a.Outcome.Binding; err != nil {
			a.Short = p.judge.try(f.choice, size{f.at.width * 51 / 50, f.at.length * 51 / 50}).short
		}
		return a, err == nil && sure(a.Outcome)
	})
}

// sure says that a plan can be relied on.
func sure(o making.Outcome) bool { return o.Verdict == chance.Sure && o.Fits() }

// largest is the largest answer up to the size wanted that is sure, sought in steps that
// double from so many thousandths, then halved to one; it says what a thousandth more
// would lack. False where there is none.
func (p *planning) largest(from int, at func(scale int) (Answer, bool)) (best Answer, found bool) {
	short := ""
	lo, hi := p.judge.least-1, 1001
	try := func(scale int) bool {
		a, ok := at(scale)
		if ok {
			best, found, lo = a, true, scale
		} else {
			short, hi = a.Short, scale
		}
		return ok
	}
	if up := try(from); up {
		for step := 2; lo < 1000 && try(min(1000, lo+step)); step *= 2 {
		}
	} else {
		for step := 2; hi > p.judge.least && !try(max(p.judge.least, hi-step)); step *= 2 {
		}
	}
	for found && hi-lo > 1 && lo < 1000 {
		try((lo + hi) / 2)
	}
	if best.Short = ""; lo < 1000 {
		best.Short = cmp.Or(short, "yarn")
	}
	return best, found
}

// at plans a choice at a size.
func (p *planning) at(f found) (Answer, error) {
	j := p.judge
	a := Answer{Kind: p.query.Kind, Scale: j.scaleOf(f.at), Parts: j.parts(f.choice, f.at, f.trial),
		Weft: f.choice.weft.ids()}
	a.Score = p.query.Weights.score(a.Parts) / 1000
	for _, w := range f.choice.warp {
		a.Warp = append(a.Warp, w.ids()...)
	}
	a.Shelf = p.shelfWith(a.Warp, a.Weft, p.stitched())
	a.Project = p.project(f, a)
	outcome, err := making.Plan(a.Shelf.Terse(), a.Project)
	a.Outcome = outcome
	p.leaveOutShort(&a, f)
	for _, l := range f.choice.lots() {
		a.Rests = append(a.Rests, p.rest(f, l))
	}
	return a, err
}

// leaveOutShort leaves out the packages, thrums for the most part, whose strands are all
// shorter than an end of the warp: they come with their lot and serve nothing there.
func (p *planning) leaveOutShort(a *Answer, f found) {
	end := a.Outcome.Needs.WarpEnd
	if end <= 0 {
		return
	}
	short := map[stash.PackageID]bool{}
	_, yarn := p.judge.unit(end)
	for _, l := range f.choice.warp {
		for i := range l.packs {
			one := l.packs[i]
			short[one.id] = one.longest > 0 && one.strands().Windings(one.mid, yarn) == 0
		}
	}
	if all := slices.DeleteFunc(slices.Clone(a.Warp),
		func(id stash.PackageID) bool { return short[id] }); len(all) > 0 {
		a.Warp = all
		a.Project.Warp, a.Outcome.Project.Warp = refs(all), refs(all)
	}
}

// project is the kind with the choice written into it. Sett and picks are left to its plan,
// where the kind leaves them: what was counted of earlier pieces is not beaten once more.
func (p *planning) project(f found, a Answer) stash.ProjectFacts {
	b := p.query.Kind.Facts
	b.Width, b.Length = f.at.width, f.at.length
	b.Warp, b.Weft = refs(a.Warp), refs(a.Weft)
	if len(f.choice.warp) > 1 {
		p.stripe(&b, f, a.Shelf)
	}
	if p.query.Person != nil {
		b.For = p.query.Person.ID
	}
	return b
}

// stripe writes the ends of each colour as its stripes, as many as the plan will
// have. Where loops of two ends are wound, or the words for the colours do not
// tell the packages apart, the stripes are left free.
func (p *planning) stripe(b *stash.ProjectFacts, f found, shelf making.Shelf) {
	fixed, all := *b, 0
	for _, n := range f.trial.ends {
		all += n
	}
	if ends := p.endsOf(*b, f, shelf); ends != nil && !b.Loops {
		for i, l := range f.choice.warp {
			fixed.Stripes = append(fixed.Stripes, stash.Stripe{Colour: l.colour, Ends: ends[i]})
		}
		if p.apart(fixed, f, shelf) {
			*b = fixed
			return
		}
	}
	b.StripeRule = stash.StripesFree
	for _, l := range f.choice.warp {
		if l.colour != f.choice.warp[0].colour {
			b.LeastStripe = leastShare(all, len(f.choice.warp))
		}
	}
}

// endsOf shares the ends of the plan of a project among the colours, without the
// floats; nil where that cannot be.
func (p *planning) endsOf(b stash.ProjectFacts, f found, shelf making.Shelf) []int {
	filled, err := shelf.Filled(b)
	if err != nil {
		return nil
	}
	n, err := planner.Need(shelf.Spec(filled))
	if err != nil {
		return nil
	}
	ends := p.judge.share(f.choice.warp, n.Ends, n.WarpEnd)
	if ends == nil {
		return nil
	}
	ends[0] -= (b.FloatingSelvedges + 1) / 2
	ends[len(ends)-1] -= b.FloatingSelvedges / 2
	return ends
}

// apart says whether every package of a warp serves the stripe that it is for.
func (p *planning) apart(b stash.ProjectFacts, f found, shelf making.Shelf) bool {
	for i, l := range f.choice.warp {
		if b.Stripes[i].Ends < 1 {
			return false
		}
		for _, id := range l.ids() {
			if pack, _ := shelf.Find(id); shelf.StripeOf(pack, b) != l.colour {
				return false
			}
		}
	}
	return true
}

func refs(ids []stash.PackageID) []stash.Ref {
	out := make([]stash.Ref, len(ids))
	for i, id := range ids {
		out[i] = stash.Ref{Package: id}
	}
	return out
}

// shelfWith is the shelf with some packages alone, and those that losses are learned
// from.
func (p *planning) shelfWith(some ...[]stash.PackageID) making.Shelf {
	s := p.stock.shelf
	s.Packages = p.stock.some(slices.Concat(append(some, p.stock.teaches)...))
	return s
}

// stitched are the packages of the yarn that the project stitches its hems with.
func (p *planning) stitched() []stash.PackageID {
	return p.namedIDs(stash.ProjectFacts{HemstitchYarn: p.query.Kind.Facts.HemstitchYarn})
}

// rest is what would remain of a lot, on the middle estimates.
func (p *planning) rest(f found, l *lot) Rest {
	left := max(0, l.length-p.judge.usedOf(f.choice, l, f.trial))
	r := Rest{Packages: l.ids(), Length: &left, Useless: p.query.useless(left)}
	if p.stock.shelf.Yarns[l.yarn].Tex() == 0 { // rags go by mass
		r.Length, r.Useless = nil, false
	}
	r.Mass = measure.Mass(float64(left) * l.tex)
	return r
}
