package show

import (
	"fmt"
	"io"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// edges is the JSON shape of how the ends come out at an edge of a piece.
type edges struct {
	Finish     string `json:"finish"`
	Groups     int    `json:"groups"`
	Bunches    int    `json:"bunches"`
	SpareEnds  int    `json:"spare_ends"`
	SpareGroup int    `json:"spare_groups"`
	Even       bool   `json:"even"`
	Layout     string `json:"layout"`
	// Cut is the fringe to leave before it is worked, 0 where it stays as it is cut.
	Cut     measure.Length `json:"cut_mm"`
	Layouts []layout       `json:"layouts"`
}

// layout is one way to bunch the ends.
type layout struct {
	Way     string `json:"way"`
	Bunches string `json:"bunches"`
	Why     string `json:"why"`
}

// EdgesShape is the fringes and the hemstitching of a plan.
func EdgesShape(e planner.EdgeAnswer) edges {
	shape := edges{
		Finish: e.Kind.String(), Groups: e.Groups, Bunches: e.Bunches, SpareEnds: e.SpareEnds,
		SpareGroup: e.SpareGroups,
		Even:       e.Even, Cut: e.FringeCut,
	}
	for _, l := range e.Layouts {
		shape.Layouts = append(shape.Layouts, layout{l.Way, l.String(), l.Why})
	}
	if len(e.Layouts) > 0 {
		shape.Layout = e.Layouts[0].String()
	}
	return shape
}

// webEdge is one end of a piece, or both where they are alike.
type webEdge struct {
	// which end it is, empty for both alike.
	which  string
	finish stash.Edge
	answer planner.EdgeAnswer
	end    planner.End
}

// webEdges are the ends of a piece, one where both are alike.
func webEdges(b stash.ProjectFacts, plan planner.EdgePlan, first,
	other planner.EdgeAnswer) []webEdge {
	one, two := b.Edges()
	if one == two {
		return []webEdge{{"", one, first, plan.Start()}}
	}
	return []webEdge{{"woven first", one, first, plan.Start()},
		{"woven last", two, other, plan.Last()}}
}

// grouped says whether the ends of a project are gathered at its edges at all: in
// a fringe or under hem-stitching.
func grouped(b stash.ProjectFacts) bool { return b.LongestFringe() > 0 || b.HemstitchedEdges > 0 }

// printEdges says how each end of a piece is finished.
func printEdges(w io.Writer, b stash.ProjectFacts, n planner.Needs, first, other planner.EdgeAnswer,
	units measure.System) {
	if !grouped(b) {
		return
	}
	label := "Fringe"
	for _, e := range webEdges(b, n.Spec.Edges, first, other) {
		Fact(w, label, e.words(units))
		label = ""
	}
	if n.HemstitchTotal > 0 {
		Fact(w, "Stitch", stitchWords(b, n, first, units))
	}
}

func stitchWords(b stash.ProjectFacts, n planner.Needs, e planner.EdgeAnswer,
	units measure.System) string {
	groups := planner.Grouping{Ends: b.Bunch, Picks: b.HemstitchPicks}.Usual()
	return fmt.Sprintf("%s of %s by %s, %s of thread an edge", measure.Counted(e.Groups, "group"),
		measure.Counted(groups.Ends, "end"), measure.Counted(groups.Picks, "pick"),
		n.HemstitchPerEdge.Yarn(units))
}

// words says how the ends are grouped at an edge, and where the odd ones go.
func (e webEdge) words(units measure.System) string {
	text := ""
	if e.which != "" {
		text = e.which + ": "
		if e.answer.Kind == planner.Raw {
			text += e.finish.Format(units) + ", "
		}
	}
	if e.which != "" && e.finish.Fringe() == 0 {
		return e.which + ": " + e.finish.Format(units)
	}
	text += bunchWords(e.answer)
	if e.answer.FringeCut > 0 {
		at := " at each end"
		if e.which != "" {
			at = ""
		}
		text += fmt.Sprintf("; cut it %s long%s, to %s it", e.answer.FringeCut.Planned(units),
			at, e.answer.Kind.To())
	}
	if !e.answer.Even && len(e.answer.Layouts) > 0 {
		text += "; as it is: " + shortLayout(e.answer.Layouts)
	}
	if !e.answer.Even && len(e.answer.Nearest) > 0 {
		text += fmt.Sprintf("; %d ends come out even", e.answer.Nearest[0].Ends)
	}
	if e.answer.Never {
		text += "; with this repeat and balance no number of ends comes out even in such bunches"
	}
	return text
}

// shortLayout is the way to prefer, or the first that is not longer than a line.
func shortLayout(all []planner.Layout) string {
	for _, l := range all {
		if text := l.String(); len(text) <= PageWidth*3/4 {
			return text
		}
	}
	return all[0].String()
}

// bunchWords counts groups and bunches, and what is over.
func bunchWords(e planner.EdgeAnswer) string {
	text, bunched := measure.Counted(e.Groups, "group"), e.Kind != planner.Raw &&
		e.Groups != e.Bunches
	if bunched {
		text = fmt.Sprintf("%s in %s", text, measure.Counted(e.Bunches, e.Kind.Bunch()))
	}
	switch {
	case e.Even:
		return text + ", none over"
	case bunched && e.SpareGroups > 0:
		return text + fmt.Sprintf(", %s and %s over", measure.Counted(e.SpareGroups, "group"),
			measure.Counted(e.SpareEnds, "end"))
	}
	return text + fmt.Sprintf(", %s over", measure.Counted(e.SpareEnds, "end"))
}

// lossSource is where the loss of a fringe is from: the weaver's own bunch, or practice.
func lossSource(t planner.Twist) string {
	fringe, _ := stash.FringeOf(stash.EdgeFinish(t.Kind.String()))
	if t.Loss != fringe.Loss(stash.DefaultSettings()) {
		return "your own figure, " + fringe.Setting
	}
	return t.Kind.Source()
}

// PrintEdgeSums shows how the length of each fringe comes about, and every way to hide
// the ends that are over.
func PrintEdgeSums(w io.Writer, b stash.ProjectFacts, n planner.Needs, first,
	other planner.EdgeAnswer, units measure.System) {
	if !grouped(b) {
		return
	}
	for _, e := range webEdges(b, n.Spec.Edges, first, other) {
		which := "edges"
		if e.which != "" {
			which = "edge " + e.which
		}
		fmt.Fprintf(w, "\n%s: %s\n", which, bunchWords(e.answer))
		if e.answer.FringeCut > 0 {
			fmt.Fprint(w, Wrap(fmt.Sprintf("cut the fringe %s long: %s; %s",
				e.answer.FringeCut.Cloth(units), e.end.Sum(units), lossSource(e.end.Twist)), "  ",
				RoomOf(w)))
		}
		if e.answer.Even {
			continue
		}
		for _, l := range e.answer.Layouts {
			fmt.Fprint(w, Wrap(l.Way+": "+l.String()+"; "+l.Why, "  ", RoomOf(w)))
		}
		for _, c := range e.answer.Nearest {
			fmt.Fprintf(w, "  %d ends would come out even: %s finished\n", c.Ends,
				c.FinishedWidth.Cloth(units))
		}
	}
	if n.HemstitchTotal > 0 {
		fmt.Fprint(w, Wrap(first.Stitching, "  ", RoomOf(w)))
	}
}
