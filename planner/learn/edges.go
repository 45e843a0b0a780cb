package learn

import (
	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// FringeKindOf is what is done to the fringe of an end.
func FringeKindOf(f stash.EdgeFinish) planner.FringeKind {
	switch f {
	case stash.EdgeKnotted:
		return planner.Knotted
	case stash.EdgeTwisted:
		return planner.Twisted
	case stash.EdgeBraided:
		return planner.Braided
	}
	return planner.Raw
}

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
	kind := FringeKindOf(e.Finish)
	if kind == planner.Raw || e.Fringe() == 0 {
		return planner.End{Fringe: e.Fringe()}
	}
	return planner.End{Twist: planner.Twist{Kind: kind, Finished: e.Length,
		Loss: FringeLoss(kind, set), Knot: set.Knot, Trim: set.Trim}}
}

// FringeLoss is what a fringe of a kind loses of its length by being worked.
func FringeLoss(kind planner.FringeKind, set stash.Settings) measure.Ratio {
	switch kind {
	case planner.Twisted:
		return set.TwistLoss
	case planner.Braided:
		return set.BraidLoss
	case planner.Knotted:
		return set.KnotLoss
	}
	return 0
}
