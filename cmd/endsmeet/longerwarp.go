package main

import (
	"fmt"
	"io"
	"math"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// way is one way to come to one more piece.
type way struct {
	Name        string         `json:"name"`
	WarpEnd     measure.Length `json:"warp_end_mm"`
	WarpTotal   measure.Length `json:"warp_total_mm"`
	WeftTotal   measure.Length `json:"weft_total_mm"`
	Waste       measure.Length `json:"waste_mm"`
	Verdict     chance.Verdict `json:"verdict"`
	Probability *float64       `json:"probability"`
	Binding     string         `json:"binding"`
}

// longerWarpOf compares a longer warp now with a new warp later.
func longerWarpOf(s making.Shelf, b stash.Project, k *call, tx *sqlite.Tx) ([]way, error) {
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
	return []way{
		wayOf("as it is", a.First),
		wayOf("one more on this warp", a.Longer),
		wayOf("one more, new warp later", a.Later),
	}, nil
}

func wayOf(name string, o making.Outcome) way {
	n := o.Needs
	w := way{
		Name: name, WarpEnd: n.WarpEnd, WarpTotal: n.WarpTotal, WeftTotal: n.WeftTotal,
		Waste: wasteOf(o), Verdict: o.Verdict, Binding: o.Binding,
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

func printWays(w io.Writer, ways []way, units measure.System) {
	if len(ways) == 0 {
		return
	}
	t := newTable("", ">one end", ">warp", ">weft", ">waste", "it fits")
	for _, way := range ways {
		sure := string(way.Verdict)
		if way.Probability != nil {
			sure += " " + percent(*way.Probability)
		}
		t.rows = append(t.rows, []string{way.Name, way.WarpEnd.Yarn(units),
			way.WarpTotal.Yarn(units), way.WeftTotal.Yarn(units), way.Waste.Yarn(units), sure})
	}
	fmt.Fprintln(w)
	t.print(w)
}
