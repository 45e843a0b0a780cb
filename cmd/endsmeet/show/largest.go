package show

import (
	"fmt"
	"io"

	"endsmeet/planner/making"
	"endsmeet/stash/measure"
)

// LargestShape is the JSON shape of the greatest size that a project can be relied on
// for: what was left open, the sizes beside it, what runs out first.
type LargestShape struct {
	Open     string       `json:"open"`
	Frontier []PointShape `json:"frontier"`
	Binding  string       `json:"runs_out_first"`
}

// LargestOf is the shape of the greatest size that a plan allows.
func LargestOf(l making.Largest) *LargestShape {
	shape := &LargestShape{Open: l.Open, Binding: l.Binding}
	for _, p := range l.Frontier {
		shape.Frontier = append(shape.Frontier, PointOf(p))
	}
	return shape
}

// PrintLargest says what the size of a plan is the greatest of, and which others there
// are.
func PrintLargest(w io.Writer, l LargestShape, units measure.System) {
	what := map[string]string{"width": "the greatest width", "length": "the greatest length",
		"size": "the greatest size of this shape"}[l.Open]
	Fact(w, "Largest", fmt.Sprintf("this is %s that you can rely on; %s", what,
		runsOut(l.Binding)))
	if len(l.Frontier) > 1 {
		printOthers(w, l.Frontier, units)
	}
}

// runsOut says what keeps a size from being larger.
func runsOut(binding string) string {
	switch binding {
	case "warp", "weft", "yarn":
		return "the " + binding + " runs out first"
	case "heddles":
		return "there are no more heddles"
	case "loom width", "reed width", "longest warp", "length of warp":
		return "the " + binding + " allows no more"
	}
	return binding + " runs out first"
}
