package share

import (
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// builder states the options of one want.
type builder struct {
	a       *allotting
	want    Want
	filled  map[[2]stash.YarnID]estimate
	options []Option
	ways    []way
	why     string // the last reason for which an option was left out
}

// estimate is a project with the losses of two yarns.
type estimate struct {
	making.Estimate
	err error
}

// fill fills in the losses of a choice, once for each pair of yarns.
func (b *builder) fill(c search.Choice) estimate {
	warp, _ := b.a.shelf.Find(c.Warp[0])
	weft, _ := b.a.shelf.Find(c.Weft[0])
	key := [2]stash.YarnID{warp.Yarn, weft.Yarn}
	f, ok := b.filled[key]
	if !ok {
		f.Estimate, f.err = b.a.shelf.Estimate(b.of(c))
		b.filled[key] = f
	}
	f.Project.Warp, f.Project.Weft = refs(c.Warp), refs(c.Weft)
	return f
}

// of is the project that is wanted, of a choice of yarn.
func (b *builder) of(c search.Choice) stash.ProjectFacts {
	facts := b.want.Project.ProjectFacts
	facts.Warp, facts.Weft = refs(c.Warp), refs(c.Weft)
	return facts
}

func refs(ids []stash.PackageID) []stash.Ref {
	out := make([]stash.Ref, len(ids))
	for i, id := range ids {
		out[i] = stash.Ref{Package: id}
	}
	return out
}

// addChoice adds an option for every size.
func (b *builder) addChoice(c search.Choice) {
	f := b.fill(c)
	if f.err != nil {
		b.why = f.err.Error()
		return
	}
	more := b.a.reserveOf(f.Project, c, f.Leeway)
	for _, scale := range scales(b.want.Project.ProjectFacts) {
		at := b.of(c)
		at.Width, at.Length = at.Width*measure.Length(scale)/1000, at.Length*measure.Length(scale)/1000
		n, long, err := f.At(at.Width, at.Length)
		if err != nil {
			b.why = err.Error()
			continue
		}
		area := float64(scale) * float64(scale) / 1e6
		o := b.option(c, n, f.Project, more)
		o.Value = b.a.worth(b.want, area)
		if len(o.Windings[0].Pool) == 0 {
			b.why = "its warp would have to be cut from short lengths"
			continue
		}
		per := perWinding(n.Spec)
		b.options = append(b.options, o)
		b.ways = append(b.ways, way{at, c, per, more,
			[]measure.Length{long.WarpEnd * measure.Length(per)}, false})
	}
}

// perWinding is how many ends one winding gives.
func perWinding(s planner.Spec) int {
	if s.Ends.Loops {
		return 2
	}
	return 1
}

// option is the demand of one size: whole windings from the warp lot, weft from
// the weft lot with a join for every package but one, each with its reserve.
func (b *builder) option(c search.Choice, n planner.Needs, facts stash.ProjectFacts,
	more reserve) Option {
	per := perWinding(n.Spec)
	join := b.a.shelf.Settings.Join
	return Option{
		Windings: []Windings{{b.a.pool(b.unbroken(c.Warp), facts), (n.Windings + per - 1) / per,
			times(int64(n.WarpEnd)*int64(per), more.end)}},
		Wefts: []Weft{{b.a.pool(c.Weft, facts),
			times(int64(b.weft(n, facts)+measure.Length(len(c.Weft)-1)*join), more.weft)}},
	}
}

// unbroken keeps the packages that are not in short lengths.
func (b *builder) unbroken(ids []stash.PackageID) []stash.PackageID {
	return slices.DeleteFunc(slices.Clone(ids), func(id stash.PackageID) bool {
		p, _ := b.a.shelf.Find(id)
		return p.Strand(b.a.shelf.Settings) > 0
	})
}

// weft is the weft of needs in mm of the weft yarn; edges stitched in a yarn of
// their own are not part of it.
func (b *builder) weft(n planner.Needs, facts stash.ProjectFacts) measure.Length {
	if n.RagMass > 0 {
		p, _ := b.a.shelf.Find(facts.Weft[0].Package)
		l, _ := measure.LengthOf(n.RagMass, b.a.shelf.TexFor(b.a.shelf.Yarns[p.Yarn], facts))
		return l
	}
	if len(facts.HemstitchYarn) > 0 {
		return n.WeftTotal - n.HemstitchTotal
	}
	return n.WeftTotal
}

// addPlanned adds a want as a plan for it alone has it.
func (a *allotting) addPlanned(w Want) error {
	b, left, err := a.planned(w)
	if err == nil {
		a.close(b, true, left)
	}
	return err
}

// planned takes a project as a plan for it alone has it, where that is reliable: one
// size, out of what the plan gives it, as far as that is there at the low lengths.
func (a *allotting) planned(w Want) (builder, []making.LeftOut, error) {
	o, err := making.Plan(a.shelf.Terse(), w.Project.ProjectFacts)
	b := builder{a: a, want: w}
	switch {
	case err != nil:
	case o.Why != "":
		b.why = o.Why
	case !o.Fits() || o.Verdict != chance.Sure:
		b.why = notEnough
	default:
		option, one := a.asPlanned(o, w.Project.ProjectFacts)
		option.Value = a.worth(w, 1)
		b.options, b.ways = []Option{option}, []way{one}
	}
	return b, o.LeftOut, err
}

// asPlanned is the option that takes what a plan takes of every package.
func (a *allotting) asPlanned(o making.Outcome, project stash.ProjectFacts) (Option, way) {
	var option Option
	per := perWinding(o.Needs.Spec)
	end := o.Needs.WarpEnd * measure.Length(per)
	one := way{project: project, perWinding: per, reserve: a.lowShare(o), planned: true}
	for _, share := range o.Allotments {
		pool := []int{a.index(share.Package, o.Project)}
		if share.Ends > 0 {
			option.Windings = append(option.Windings, Windings{pool, (share.Ends + per - 1) / per,
				int64(float64(end) * one.reserve.end)})
			one.choice.Warp = append(one.choice.Warp, share.Package)
			one.windings = append(one.windings, end)
		}
		if share.Weft > 0 {
			option.Wefts = append(option.Wefts,
				Weft{pool, int64(float64(share.Weft) * one.reserve.weft)})
			one.choice.Weft = append(one.choice.Weft, share.Package)
		}
	}
	return option, one
}

// lowShare is the share of what a plan takes that every package has at its low length: the
// doubts of all of them together are in the plan.
func (a *allotting) lowShare(o making.Outcome) reserve {
	share := 1.0
	for _, one := range o.Allotments {
		p, _ := a.shelf.Find(one.Package)
		low := a.usable(p, o.Project) - int64(p.Knots)*int64(o.Needs.WarpEnd)
		if take := int64(one.Warp + one.Weft); take > 0 {
			share = min(share, float64(max(0, low-1))/float64(take))
		}
	}
	return reserve{share, share}
}
