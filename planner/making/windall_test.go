package making

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

// TestAPlanThatSaysNoWindsAsOneThatSaysYes plans from shelves that hold from nothing to
// plenty: the ends are as long as 19 of 20 pieces need, whatever the answer, or it is said why
// they are not.
func TestAPlanThatSaysNoWindsAsOneThatSaysYes(t *testing.T) {
	yes, no, none := 0, 0, 0
	for n := range 60 {
		r := rand.New(rand.NewPCG(uint64(n), 11))
		s, b := lotsShelf(t, r)
		if n%10 == 0 {
			s.Packages = s.Packages[:1] // warp alone
		}
		for i := range s.Packages {
			s.Packages[i].Held /= measure.Mass(1 + n%3)
		}
		o, err := Plan(s, b)
		if err != nil {
			continue // the loom does not take it at all
		}
		switch {
		case o.None:
			none++
		case o.Fits():
			yes++
		default:
			no++
		}
		said := slices.ContainsFunc(o.Notes, func(n string) bool {
			return strings.Contains(n, "19 of 20")
		})
		if o.Needs.WarpEnd != o.Wind.Long && !said {
			t.Errorf("plan %d, %s: ends of %s where 19 of 20 need %s", n, o.Verdict, o.Needs.WarpEnd,
				o.Wind.Long)
		}
	}
	if yes < 5 || no < 5 || none == 0 {
		t.Errorf("%d that fit, %d that do not, %d of nothing", yes, no, none)
	}
}
