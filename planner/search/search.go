package search

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/stash"
)

// Find searches a shelf. It fails for a kind whose size makes no sense or whose
// stripes are fixed already, and where the context ends first.
func Find(ctx context.Context, shelf making.Shelf, q Query) (Result, error) {
	if err := q.check(); err != nil {
		return Result{}, err
	}
	shelf = shelf.Taught()
	g, f := prepare(shelf, q)
	if err := f.run(ctx, q.colours()); err != nil {
		return Result{}, err
	}
	out := Result{Kind: q.Kind, LeftOut: g.leftOut, Looked: f.looked}
	plan := newPlanner(shelf, q, f)
	for _, one := range f.best {
		if a, ok := plan.answer(one); ok {
			out.Answers = append(out.Answers, a)
		}
	}
	slices.SortStableFunc(out.Answers,
		func(a, b Answer) int { return cmp.Compare(b.Score, a.Score) })
	return out, nil
}

func (q Query) check() error {
	f := q.Kind.Facts
	switch {
	case f.Width <= 0 || f.Length <= 0:
		return stash.Refuse(stash.CodeInput, "give the project a width and a length",
			"%s has no size", q.Kind.Name)
	case len(f.Stripes) > 0:
		return stash.Refuse(stash.CodeRefused,
			"`endsmeet plan` answers for it; without its stripes it can be searched for",
			"the stripes of %s are fixed already", q.Kind.Name)
	case q.colours() > maxColours:
		return stash.Refuse(stash.CodeInput, "ask for at most 4",
			"%d colours are more than the search goes through", q.Colours)
	}
	return nil
}

// prepare gathers the lots of a query and makes a finder over them.
func prepare(shelf making.Shelf, q Query) (*gathering, *finder) {
	shelf = shelf.Taught()
	g := gather(shelf, q)
	figures := newFigurer(shelf, q.Kind)
	g.figure(figures)
	j := newJudge(q, shelf.Spec(q.Kind.Facts), shelf.Settings.Join)
	f := &finder{judge: j, top: q.top(),
		pairs: &pairs{yarns: shelf.Yarns, known: map[pairing]together.Verdict{}, aside: q.Aside}}
	losses := shelf.OwnLosses()
	f.pairs.use = func(id stash.YarnID, role stash.Role) together.Use {
		u := together.Use{Yarn: shelf.Yarns[id], Role: role}
		if loss, known := losses[id]; known {
			u.Loss = &loss
		}
		if u.Sett = figures.of(id).picks; role == stash.RoleWarp {
			u.Sett = figures.of(id).sett
		}
		return u
	}
	f.plant(g.lots)
	return g, f
}

// figure gives every lot its figures and leaves out those that have none.
func (g *gathering) figure(figures *figurer) {
	g.lots = slices.DeleteFunc(g.lots, func(l *lot) bool {
		l.figures = figures.of(l.yarn)
		if l.figures.ok && l.tex > 0 && l.length > 0 {
			return false
		}
		for _, p := range l.packs {
			if pack, found := g.shelf.Find(p.id); found {
				g.leave(&pack, "no sett is known for it: record its count")
			}
		}
		return true
	})
}

// plant sorts lots into trees.
func (f *finder) plant(lots []*lot) {
	j := f.judge
	s := j.scales(lots)
	size := j.sizeAt(1000)
	f.bounder = bounder{
		weights: j.query.Weights, width: float64(size.width), strands: j.strands(),
		modulo: s.modulo, sigma: s.sigma,
		least: s.sigma * s.sigma / slack,
	}
	var warps, wefts, both, bothWeft []item
	for _, l := range lots {
		warp, isWarp := item{}, false
		if l.asWarp {
			warp, isWarp = j.warpItem(l, s)
		}
		weft, isWeft := item{}, false
		if l.asWeft {
			weft, isWeft = j.weftItem(l, s)
		}
		if isWarp {
			warps = append(warps, warp)
		}
		if isWeft {
			wefts = append(wefts, weft)
		}
		if isWarp && isWeft {
			both, bothWeft = append(both, warp), append(bothWeft, weft)
		}
	}
	using := f.using()
	var trees sync.WaitGroup
	trees.Go(func() { f.warps = newTree(warps, using) })
	trees.Go(func() { f.wefts = newTree(wefts, using) })
	trees.Go(func() {
		f.both = newTree(both, using)
		f.bothWeft = f.both.twin(bothWeft)
	})
	trees.Wait()
}

func (f *finder) using() func(*lot) bool {
	if f.judge.query.Using == nil {
		return nil
	}
	return func(l *lot) bool { return f.judge.query.Using(l.of) }
}

// twin is a tree of the same shape over other items for the same lots.
func (t *tree) twin(items []item) *tree {
	out := &tree{items: items, using: t.using, nodes: make([]node, len(t.nodes))}
	for i := len(t.nodes) - 1; i >= 0; i-- {
		n := t.nodes[i]
		if n.left < 0 {
			out.nodes[i] = out.leaf(n.at)
			continue
		}
		out.nodes[i] = out.nodes[n.left].with(&out.nodes[n.right])
		out.nodes[i].left, out.nodes[i].right = n.left, n.right
	}
	return out
}
