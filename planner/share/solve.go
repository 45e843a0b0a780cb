package share

import (
	"context"
	"slices"
)

// Solve solves a problem. It fails for one that makes no sense; that nothing can
// be made is an answer. Where the context ends first, or so many nodes have been
// looked at as the problem allows, the answer is the best found, with its bound and
// Proven false.
func Solve(ctx context.Context, p Problem) (Solution, error) {
	if err := p.check(); err != nil {
		return Solution{}, err
	}
	out := p.solve(ctx, p.divide())
	out.Proven = out.Value >= out.Bound
	return out, nil
}

// solve solves sets that share no package.
func (p Problem) solve(ctx context.Context, sets []*set) Solution {
	out := Solution{Choice: make([]int, len(p.Projects)), Uses: make([][]Use, len(p.Projects))}
	for b := range out.Choice {
		out.Choice[b] = -1
	}
	for _, s := range sets {
		one := p.solveSet(ctx, s)
		out.Value += one.Value
		out.Bound += one.Bound
		out.Nodes += one.Nodes
		for _, b := range s.projects {
			out.Choice[b], out.Uses[b] = one.Choice[b], one.Uses[b]
		}
	}
	return out
}

// solveSet narrows a set down, and branches on what is left of it. What is left may fall
// apart.
func (p Problem) solveSet(ctx context.Context, s *set) Solution {
	n := newNarrowing(ctx, s)
	n.run()
	out := p.written(s, n.choice)
	out.Value, out.Bound = n.best, max(n.best, n.down(n.bound))
	if out.Value == out.Bound {
		return out
	}
	q, at := p.only(s, n.open)
	var rest Solution
	if sets := q.divide(); len(sets) > 1 {
		rest = q.solve(ctx, sets)
	} else if len(sets) == 1 {
		rest = q.branch(ctx, sets[0], n.best)
	}
	out.Bound, out.Nodes = max(out.Value, min(out.Bound, rest.Bound)), rest.Nodes
	if rest.Value > out.Value {
		out.Value, out.Choice, out.Uses = rest.Value, rest.Choice, rest.Uses
		for b, o := range out.Choice {
			if o >= 0 {
				out.Choice[b] = at[b][o]
			}
		}
	}
	return out
}

// only is the problem of some options of a set, and where they stood.
func (p Problem) only(s *set, open [][]int) (Problem, [][]int) {
	q, at := Problem{Packages: p.Packages, Projects: make([][]Option, len(p.Projects)),
		Nodes: p.Nodes}, make([][]int, len(p.Projects))
	for i, b := range s.projects {
		for _, o := range slices.Sorted(slices.Values(open[i])) {
			at[b] = append(at[b], s.options[i][o].at)
			q.Projects[b] = append(q.Projects[b], p.Projects[b][s.options[i][o].at])
		}
	}
	return q, at
}

// branch solves a set by branch and bound, where something of more than a value is
// looked for.
func (p Problem) branch(ctx context.Context, s *set, value int64) Solution {
	t := newBranching(ctx, s)
	t.most, t.best = p.Nodes, value
	t.run()
	out := p.written(s, t.choice)
	out.Value, out.Bound, out.Nodes = t.best, max(t.best, t.upper), t.nodes
	return out
}

// written is a solution with what a choice of a set takes of which packages.
func (p Problem) written(s *set, choice []int) Solution {
	out := Solution{Choice: make([]int, len(p.Projects)), Uses: make([][]Use, len(p.Projects))}
	for b := range out.Choice {
		out.Choice[b] = -1
	}
	h := newHolding(s)
	for b, o := range choice {
		if o >= 0 {
			h.add(b, o)
			out.Choice[s.projects[b]] = s.options[b][o].at
		}
	}
	for block := range s.blocks {
		h.write(p, block, &out)
	}
	return out
}

// write cuts the options chosen from a block and notes what each package gives.
func (h *holding) write(p Problem, block int, out *Solution) {
	var options []*choiceOf
	for _, b := range h.in[block] {
		options = append(options, h.option(b, h.choice[b]))
	}
	if len(options) == 0 {
		return
	}
	c := h.set.cut(block, options)
	if c.solve() != can {
		return
	}
	w, f := 0, 0
	for n, b := range h.in[block] {
		project := h.set.projects[b]
		asked := p.Projects[project][options[n].at]
		w, f = c.note(&out.Uses[project], asked, h.set.blocks[block], w, f)
	}
}
