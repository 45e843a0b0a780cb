package search

import (
	"slices"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// withPlanned adds to answers for a project that names its yarn what its own plan gives,
// which weaves all of that yarn: so a search never finds less than a plan of it. Where
// nothing else was found it is made smaller until it is reliable.
func (p *planning) withPlanned(answers []planned) []planned {
	if !p.query.named() {
		return answers
	}
	wanted := p.judge.sizeAt(1000)
	a, ok := p.plannedAt(wanted)
	if !ok && len(answers) == 0 {
		a, ok = p.largest(1000, func(scale int) (Answer, bool) {
			return p.plannedAt(p.judge.times(wanted, scale))
		})
	}
	if !ok || slices.ContainsFunc(answers, func(has planned) bool {
		b := has.answer
		return b.Scale >= a.Scale && p.sameLots(a.Warp, b.Warp) && p.sameLots(a.Weft, b.Weft)
	}) {
		return answers
	}
	return append(answers, planned{answer: a})
}

// plannedAt is the plan of the project at a size; false where it is not sure, the gate
// refuses it or it takes nothing of what was asked for.
func (p *planning) plannedAt(at size) (Answer, bool) {
	b := p.query.Kind.Facts
	b.Width, b.Length = at.width, at.length
	if p.query.Person != nil {
		b.For = p.query.Person.ID
	}
	a := Answer{Kind: p.query.Kind, Project: b, AsNamed: true, Scale: p.judge.scaleOf(at),
		Shelf: p.shelfWith(p.namedIDs(b))}
	o, err := making.Plan(a.Shelf.Terse(), b)
	a.Outcome, a.Short = o, o.Binding
	if err != nil || !sure(o) {
		return a, false
	}
	for _, one := range o.Allotments {
		if one.Warp > 0 {
			a.Warp = append(a.Warp, one.Package)
		}
		if one.Weft > 0 {
			a.Weft = append(a.Weft, one.Package)
		}
	}
	p.weigh(&a)
	whom := verdict.Whom{Person: p.query.Person}
	refused := !p.query.Aside && verdict.OfPlan(a.Shelf, o, whom).Grade.Blocks()
	return a, !refused && p.usesAsked(a)
}

// namedIDs are the packages that a project names and that may be asked from.
func (p *planning) namedIDs(b stash.ProjectFacts) []stash.PackageID {
	refs := slices.Concat(b.Warp, b.Weft, b.HemstitchYarn)
	if len(refs) == 0 {
		return nil
	}
	var out []stash.PackageID
	for _, one := range p.stock.packs {
		if isNamed(one.id, p.stock.yarns[one.at].id, refs) && !p.stock.skips(one) {
			out = append(out, one.id)
		}
	}
	return out
}

// usesAsked says whether an answer takes something of what was asked for.
func (p *planning) usesAsked(a Answer) bool {
	return p.stock.using == nil || slices.ContainsFunc(slices.Concat(a.Warp, a.Weft),
		func(id stash.PackageID) bool { return p.stock.using(p.lotOf(id)) })
}

func (p *planning) lotOf(id stash.PackageID) stash.DyeLot {
	return p.stock.lotOf(p.stock.packs[p.stock.places[id]])
}

// sameLots says whether packages are of the same lots as others.
func (p *planning) sameLots(a, b []stash.PackageID) bool {
	lots := func(ids []stash.PackageID) map[stash.DyeLot]bool {
		out := map[stash.DyeLot]bool{}
		for _, id := range ids {
			out[p.lotOf(id)] = true
		}
		return out
	}
	of, other := lots(a), lots(b)
	for l := range other {
		if !of[l] {
			return false
		}
	}
	return len(of) == len(other)
}

// weigh fills in what an answer leaves of the lots that its plan takes from, and its score.
func (p *planning) weigh(a *Answer) {
	var lots []stash.DyeLot
	rests := map[stash.DyeLot]*Rest{}
	var used, all, useless measure.Mass
	for _, one := range a.Outcome.Allotments {
		l := p.lotOf(one.Package)
		if rests[l] == nil {
			lots, rests[l] = append(lots, l), &Rest{}
		}
		pack, _ := a.Shelf.Find(one.Package)
		there, r := a.Shelf.Available(pack), rests[l]
		r.Packages, r.Mass = append(r.Packages, one.Package), r.Mass+max(0, there-one.Mass)
		used, all = used+min(there, one.Mass), all+there
	}
	for _, l := range lots {
		r := rests[l]
		if length, known := measure.LengthOf(r.Mass, a.Shelf.Yarns[l.Yarn].Tex()); known {
			r.Length, r.Useless = &length, p.query.useless(length)
		}
		if r.Useless {
			useless += r.Mass
		}
		a.Rests = append(a.Rests, *r)
	}
	whole := float64(max(1, all))
	a.Parts = Parts{Size: float64(a.Scale*a.Scale) / 1e6, Use: float64(used) / whole,
		Rest: 1 - float64(useless)/whole, Lots: 1 / float64(max(1, len(lots)))}
	a.Score = p.query.Weights.score(a.Parts) / 1000
}
