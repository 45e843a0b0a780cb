package main

import (
	"fmt"
	"io"

	"endsmeet/planner/making"
	"endsmeet/stash/measure"
)

// largestShape is the JSON shape of the greatest size that a project can be relied on
// for: what was left open, the sizes beside it, what runs out first.
type largestShape struct {
	Open     string       `json:"open"`
	Frontier []pointShape `json:"frontier"`
	Binding  string       `json:"binding"`
}

func largestOf(l making.Largest) *largestShape {
	shape := &largestShape{Open: l.Open, Frontier: []pointShape{}, Binding: l.Binding}
	for _, p := range l.Frontier {
		shape.Frontier = append(shape.Frontier, pointOf(p))
	}
	return shape
}

// printLargest says what the size of a plan is the greatest of, and which others there
// are.
func printLargest(w io.Writer, l largestShape, units measure.System) {
	what := map[string]string{"width": "the greatest width", "length": "the greatest length",
		"size": "the greatest size of this shape"}[l.Open]
	fact(w, "Largest", fmt.Sprintf("this is %s that you can rely on; %s runs out first", what,
		runsOut(l.Binding)))
	if len(l.Frontier) > 1 {
		printOthers(w, l.Frontier, units)
	}
}

// runsOut names what runs out.
func runsOut(binding string) string {
	if binding == "warp" || binding == "weft" {
		return "the " + binding
	}
	return binding
}
