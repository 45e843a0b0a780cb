package verdict

import (
	"strings"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
)

// TestAVerdictThatIsCloseSaysHowWellItIsWorkedOut gives a plan just above 95 %, within
// the bound and beyond it, and one whose work was used up.
func TestAVerdictThatIsCloseSaysHowWellItIsWorkedOut(t *testing.T) {
	for _, c := range []struct {
		bound float64
		close bool
		want  bool
	}{{0.0004, true, true}, {0.0004, false, false}, {0.004, false, true}} {
		o := making.Outcome{Verdict: chance.Sure, Probability: 0.9503, Bound: c.bound,
			Close: c.close}
		text := sizeOf(making.Shelf{}, o, Whom{}).sure()
		if got := strings.Contains(text, "worked out to"); got != c.want {
			t.Errorf("bound %g, close %v: %q", c.bound, c.close, text)
		}
	}
}
