package share

import (
	"reflect"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// maxWays is of how many choices of yarn it is asked what lacks, for a project that does
// not name its yarn.
const maxWays = 8

// buys is what want b lacks beside what the others are given, as its plan says: of the
// yarns that it names, else of the choice of yarns of which the least lacks, by mass.
func (a *allotting) buys(b int, s Solution) ([]making.Buy, error) {
	shelf := a.beside(b, a.given(s))
	var best []making.Buy
	for _, facts := range a.named(b) {
		o, err := making.Plan(shelf, facts)
		if err != nil {
			return nil, err
		}
		if len(o.Buys) > 0 && (best == nil || massOf(o.Buys) < massOf(best)) {
			best = o.Buys
		}
	}
	w := a.wants[b]
	return verdict.ToBuy(shelf, best, verdict.Whom{Person: w.Person, Elsewhere: w.Elsewhere}), nil
}

// named is a want as a project that names its yarns: as it does itself, else as each of its
// first choices does.
func (a *allotting) named(b int) []stash.ProjectFacts {
	f := a.wants[b].Project.ProjectFacts
	if len(f.Warp) > 0 && len(f.Weft) > 0 {
		return []stash.ProjectFacts{f}
	}
	var out []stash.ProjectFacts
	for _, w := range a.ways[b] {
		one := f
		one.Warp, one.Weft = refs(w.choice.Warp), refs(w.choice.Weft)
		if n := len(out); n > 0 && reflect.DeepEqual(out[n-1], one) {
			continue
		}
		if out = append(out, one); len(out) == maxWays {
			break
		}
	}
	return out
}

func massOf(all []making.Buy) (sum measure.Mass) {
	for _, b := range all {
		sum += b.Mass
	}
	return sum
}
