package verdict

import (
	"slices"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// Unadvised says why nobody is told to buy a yarn, or to take it instead of another, for
// somebody: what their rules say of it, or that it is weak, perished or to be discarded.
// Empty where nothing is known to speak against it.
func Unadvised(y stash.Yarn, whom Whom) string {
	if a, asked := whom.Yarn(y); asked && a.Grade.Blocks() {
		return strings.TrimSuffix(a.Words, ".")
	}
	switch {
	case slices.Contains(y.Hazards, "perished"):
		return "it is marked perished"
	case y.Fit == stash.FitDiscard:
		return "it is to be discarded"
	}
	return strings.Join(people.Weak(y.YarnFacts), "; ")
}

// ToBuy is what lacks, each yarn with what speaks against buying more of it.
func ToBuy(s making.Shelf, all []making.Buy, whom Whom) []making.Buy {
	out := slices.Clone(all)
	for i, b := range out {
		out[i].Against = Unadvised(s.Yarns[b.Yarn], whom)
	}
	return out
}
