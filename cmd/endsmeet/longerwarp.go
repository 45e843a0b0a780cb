package main

import (
	"math"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// longerWarpOf compares a longer warp now with a new warp later.
func longerWarpOf(s making.Shelf, b stash.Project, k *call, tx *sqlite.Tx) ([]show.Way, error) {
	over, err := k.projectFields(tx)
	if err != nil {
		return nil, err
	}
	facts, err := b.With(over)
	if err != nil {
		return nil, err
	}
	a, err := making.WithAnother(s, facts)
	if err != nil {
		return nil, projectProblem(err)
	}
	return []show.Way{
		wayOf("as it is", a.First),
		wayOf("one more on this warp", a.Longer),
		wayOf("one more, new warp later", a.Later),
	}, nil
}

func wayOf(name string, o making.Outcome) show.Way {
	n := o.Needs
	w := show.Way{
		Name: name, WarpEnd: n.WarpEnd, WarpTotal: n.WarpTotal, WeftTotal: n.WeftTotal,
		Rags: n.RagMass, Waste: wasteOf(o), Sample: n.Spec.Loom.Sample, Verdict: o.Verdict, Binding: o.Binding,
	}
	if o.Verdict != chance.Unknown {
		p := math.Round(o.Probability*1e4) / 1e4
		w.Probability = &p
	}
	return w
}

// wasteOf is the warp that becomes neither cloth nor fringe, in all ends.
func wasteOf(o making.Outcome) measure.Length {
	spec := o.Needs.Spec
	return measure.Length(o.Needs.Windings) * (max(0, spec.Loom.Front-spec.Edges.Start().Raw()) +
		max(0, spec.Loom.Back-spec.Edges.Last().Raw()) + spec.Loom.Sample)
}
