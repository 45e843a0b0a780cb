package share

import (
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// builder states the options of one want.
type builder struct {
	a       *allotting
	want    Want
	filled  map[[2]stash.YarnID]filled
	options []Option
	ways    []way
	why     string // the last reason for which an option was left out
}

// filled is a project with the losses of two yarns.
type filled struct {
	facts  stash.ProjectFacts
	leeway making.Leeway
	err    error
}

// fill fills in the losses of a choice, once for each pair of yarns.
func (b *builder) fill(c search.Choice) filled {
	warp, _ := b.a.shelf.Find(c.Warp[0])
	weft, _ := b.a.shelf.Find(c.Weft[0])
	key := [2]stash.YarnID{warp.Yarn, weft.Yarn}
	f, ok := b.filled[key]
	if !ok {
		facts := b.want.Project.ProjectFacts
		facts.Warp, facts.Weft = refs(c.Warp), refs(c.Weft)
		if f.leeway, f.err = b.a.shelf.LeewayOf(facts); f.err == nil {
			f.facts, f.err = b.a.shelf.Filled(facts)
		}
		b.filled[key] = f
	}
	f.facts.Warp, f.facts.Weft = refs(c.Warp), refs(c.Weft)
	return f
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
	facts, more := f.facts, b.a.reserveOf(f.facts, c, f.leeway)
	wanted := b.want.Project.ProjectFacts
	for _, scale := range scales(wanted) {
		at := facts
		at.Width, at.Length = wanted.Width*measure.Length(scale)/1000,
			wanted.Length*measure.Length(scale)/1000
		spec := b.a.shelf.Spec(at)
		n, err := planner.Need(spec)
		if err != nil {
			b.why = err.Error()
			continue
		}
		area := float64(scale) * float64(scale) / 1e6
		o := b.option(c, n, at, more)
		o.Value = b.a.worth(b.want, area)
		if len(o.Windings[0].Pool) == 0 {
			b.why = "its warp would have to be cut from short lengths"
			continue
		}
		b.options = append(b.options, o)
		b.ways = append(b.ways, way{at, c, perWinding(spec), more,
			[]measure.Length{n.WarpEnd * measure.Length(perWinding(spec))}})
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
		return p.Longest > 0
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
		return n.WeftTotal - n.HemTotal
	}
	return n.WeftTotal
}

// addStriped takes a project whose stripes are fixed as a plan for it alone would
// have it: one size out of given packages.
func (a *allotting) addStriped(w Want) error {
	o, err := making.Plan(a.shelf.Terse(), w.Project.ProjectFacts)
	if err != nil {
		return err
	}
	b := builder{a: a, want: w}
	if !o.Fits() {
		b.why = "its stripes cannot be made of the yarn it names; what runs out first: " + o.Binding
		a.close(b, true, o.LeftOut)
		return nil
	}
	option := Option{Value: a.worth(w, 1)}
	per := perWinding(o.Needs.Spec)
	var c search.Choice
	var windings []measure.Length
	for _, share := range o.Allotments {
		pool := []int{a.index(share.Package, w.Project.ProjectFacts)}
		if share.Ends > 0 {
			option.Windings = append(option.Windings, Windings{pool, (share.Ends + per - 1) / per,
				int64(o.Needs.WarpEnd) * int64(per)})
			c.Warp, windings = append(c.Warp, share.Package),
				append(windings, o.Needs.WarpEnd*measure.Length(per))
		}
		if share.Weft > 0 {
			option.Wefts = append(option.Wefts, Weft{pool, int64(share.Weft)})
			c.Weft = append(c.Weft, share.Package)
		}
	}
	b.options, b.ways = []Option{option}, []way{{o.Project, c, per, noReserve, windings}}
	a.close(b, true, o.LeftOut)
	return nil
}
