package making

import (
	"slices"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// sley is how so many ends are sleyed in the reeds that there are, which own tells, or
// where the weaver names none in those that many have, of the weaver's units first.
func (s Shelf) sley(b stash.ProjectFacts, threaded int) (sley planner.Sley, own bool) {
	if len(s.Settings.Reeds) > 0 {
		sley, _ = planner.SleyIn(s.Settings.Reeds, b.Sett, threaded)
		return sley, true
	}
	usual := func(system measure.System) []measure.Sett {
		return slices.DeleteFunc(slices.Clone(planner.UsualReeds), func(r measure.Sett) bool {
			return (r%measure.PerCentimetre == 0) != (system == measure.Metric)
		})
	}
	if sley, _ = planner.SleyIn(usual(s.Settings.Units), b.Sett, threaded); !sley.Exact {
		if other, ok := planner.SleyIn(planner.UsualReeds, b.Sett, threaded); ok && other.Exact {
			return other, false
		}
	}
	return sley, false
}
