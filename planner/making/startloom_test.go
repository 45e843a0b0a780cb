package making

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// grades of a size, worst first.
var grades = map[chance.Verdict]int{chance.Short: 0, chance.Likely: 1, chance.Sure: 2}

// TestTheLoomSaysWhatThePlanSaidWhenTheWarpIsWound draws shelves and projects, puts each on
// the loom as it is planned, and asks at once. What was reliable is; what was short is short;
// what was likely is so at least, since the warp is wound. What lacks of one yarn for both
// is the same to a hundredth.
func TestTheLoomSaysWhatThePlanSaidWhenTheWarpIsWound(t *testing.T) {
	seen := map[chance.Verdict]int{}
	for seed := range uint64(150) {
		s, b := nearShelf(t, rand.New(rand.NewPCG(seed, 5)))
		o := planned(t, s, b)
		piece := stash.Piece{ID: "piece", Name: "piece 1", State: stash.OnLoom, Plan: o.Record()}
		r, err := Remaining(s.With(piece), piece, 0)
		if err != nil {
			t.Fatal(err)
		}
		seen[o.Verdict]++
		p := min(1-r.Short, 1-r.WeftShort)
		if r.Unwound > 0 {
			p = 0
		}
		// a longer warp takes from weft of the same yarn
		if grades[chance.VerdictOf(p+0.02)] < grades[o.Verdict] ||
			o.Verdict == chance.Short && chance.VerdictOf(p-0.02) != chance.Short {
			t.Errorf("seed %d: planned %s %.4f (%s first), margin %v; on the loom the warp is short with %.4f, the weft with %.4f; %d ends without yarn",
				seed, o.Verdict, o.Probability, o.Binding, o.Needs.Spec.Loom.Margin, r.Short,
				r.WeftShort, r.Unwound)
		}
		if r.One != (b.Warp[0] == b.Weft[0]) || r.One && o.Binding != "yarn" && o.Binding != "nothing" {
			t.Errorf("seed %d: one yarn %v, planned that %s runs out", seed, r.One, o.Binding)
		}
	}
	if seen[chance.Short] < 10 || seen[chance.Likely] < 10 || seen[chance.Sure] < 10 {
		t.Errorf("%v", seen)
	}
}

// nearShelf is a shelf and a project that takes about what there is.
func nearShelf(t *testing.T, r *rand.Rand) (Shelf, stash.ProjectFacts) {
	s, b, mix := stock(t), scarf(), true
	for i := range 2 + r.IntN(4) {
		s.Packages = append(s.Packages, of(fmt.Sprintf("p%d", i),
			[]stash.YarnID{cotton, wool}[i%2], measure.Mass(100+r.Int64N(500))))
	}
	b.MixLots, b.Width = &mix, measure.Length(200+r.Int64N(600))
	yarns := []stash.YarnID{cotton, wool}
	b.Warp, b.Weft = yarnRef(yarns[r.IntN(2)]), yarnRef(yarns[r.IntN(2)])
	if r.IntN(2) == 0 {
		b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.ShrinkWidth, b.DrawIn, b.Stretch, b.Strain =
			nil, nil, nil, nil, nil, nil, nil
	}
	b.Length = 20_000
	if o := planned(t, s, b); o.Greatest != nil {
		b.Length = max(100, o.Greatest.Length*measure.Length(80+r.Int64N(26))/100)
	}
	return s, b
}
