package planner

import (
	"math"
	"testing"

	"endsmeet/stash/measure"
)

// The two published warps of the design page: a wool of which 90 in were wound, 7 tied on,
// 75 woven taut, 10 left and 65 came off; a cotton of 104, 9, 84 and 12.
func TestTheBalanceOfPublishedWarps(t *testing.T) {
	wool := Losses{Stretch: measure.RatioOf(75./65 - 1), Strain: measure.RatioOf(92./90 - 1)}
	wool.WarpTakeUp = measure.RatioOf(1.154/(92./90) - 1) // straight ends: c_t = 0
	if s := wool.Straight(); math.Abs(s-1) > 0.001 {
		t.Errorf("the wool's ends run %.4f of the taut web, not as long as it is", s)
	}
	if wool.WarpTakeUp.Float() < 0.128 || wool.WarpTakeUp.Float() > 0.13 {
		t.Errorf("its take-up is %v, not 12.9%%", wool.WarpTakeUp)
	}
	// What is wound gives back the 90 in: 65 in relaxed with their take-up, and 17 in of bare warp.
	if wound := 65*wool.PerTape()*75/65 + 17/(1+wool.Strain.Float()); math.Abs(wound-90) > 0.1 {
		t.Errorf("%.2f in wound, not 90", wound)
	}
	for _, l := range []Losses{wool, {Stretch: 100_000, WarpTakeUp: 60_000},
		{Stretch: 10_000, WarpTakeUp: 200_000}} {
		l.Strain = l.LeastStrain()
		if s := l.Straight(); s < 0.99999 || l.Strain > 0 && s > 1.00001 {
			t.Errorf("with the least strain %v of %+v the ends run %.6f", l.Strain, l, s)
		}
	}
}
