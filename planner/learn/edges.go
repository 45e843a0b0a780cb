package learn

import (
	"endsmeet/planner"
	"endsmeet/stash"
)

// EdgesOf states how the ends of a project's pieces are finished as the planner takes it,
// with the losses of the weaver's settings.
func EdgesOf(b stash.ProjectFacts, set stash.Settings) planner.EdgePlan {
	first, other := b.Edges()
	start := endOf(first, set)
	plan := planner.EdgePlan{Fringe: start.Fringe, Twist: start.Twist, Hem: b.Hems()}
	plan.Finished[planner.HemStitching], plan.Finished[planner.Binding] = b.HemstitchedEdges,
		b.BoundEdges
	if b.OtherEnd != nil {
		last := endOf(other, set)
		plan.Other = &last
	}
	return plan
}

func endOf(e stash.Edge, set stash.Settings) planner.End {
	kind := planner.FringeCalled(string(e.Finish))
	fringe, _ := stash.FringeOf(e.Finish)
	if kind == planner.Raw {
		return planner.End{Fringe: e.Fringe()}
	}
	return planner.End{Twist: planner.Twist{Kind: kind, Finished: e.Length,
		Loss: fringe.Loss(set), Knot: set.Knot, Trim: set.Trim}}
}
