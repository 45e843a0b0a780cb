package making

import (
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// TestTheLoomAgreesWithThePlanBeforeAnythingIsWoven puts pieces that are sure on the loom as
// they were planned, with losses by the handbook: the warp reaches on 19 of 20 and the weft
// is enough, and what 19 of 20 such warps finish as is the length planned.
func TestTheLoomAgreesWithThePlanBeforeAnythingIsWoven(t *testing.T) {
	sure := 0
	for n := range 24 {
		b := scarf()
		b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.DrawIn, b.Stretch, b.ShrinkWidth = nil, nil, nil,
			nil, nil, nil
		b.Width, b.Length = measure.Length(150+17*n), measure.Length(300+(n*977)%2200)
		b.Pieces = 1 + n%5
		if n%2 == 0 {
			b.Hem, b.Fringe = measure.Length(5+3*n), 0
		}
		s := stock(t, of("c", cotton, 2500), of("w", wool, measure.Mass(150+(n*613)%2400))).Terse()
		o := planned(t, s, b)
		if o.Verdict != chance.Sure || o.Needs.Spec.Loom.Margin == 0 {
			continue
		}
		sure++
		piece := onLoom(t, s, b)
		r, err := Remaining(s, piece, 0)
		if err != nil {
			t.Fatal(err)
		}
		if r.Short > 0.05 || r.WeftShort > 0.05 {
			t.Errorf("planned with %.4f; on the loom the warp is short with %.4f, the weft with %.4f", o.Probability, r.Short, r.WeftShort)
		}
		if r.FinishedSure < b.Length-2*measure.Millimetre {
			t.Errorf("%s was planned, 19 of 20 such warps give %s", b.Length, r.FinishedSure)
		}
	}
	if sure < 8 {
		t.Errorf("%d were sure", sure)
	}
}
