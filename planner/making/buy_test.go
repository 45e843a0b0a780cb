package making

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// bought is the shelf with what was named for a project: as it is sold, where that is said,
// less so many packages of the first; else so much of its length.
func bought(s Shelf, all []Buy, fewer int) Shelf {
	s.Packages = slices.Clone(s.Packages)
	for i, b := range all {
		mass, count := b.Mass, 1
		if b.Packages > 0 {
			mass, count = b.PutUp, b.Packages
		}
		if i == 0 {
			count -= fewer
		}
		for n := range count {
			p := of(fmt.Sprintf("new-%d-%d", i, n), b.Yarn, 0)
			p.Held, p.Known, p.Step, p.Lot, p.Colour = mass, true, 1, b.Lot, b.Colour
			s.Packages = append(s.Packages, p)
		}
	}
	return s
}

// TestWhatIsNamedToBuyMakesItReliable draws shelves and projects, buys what the plan names,
// and plans again.
func TestWhatIsNamedToBuyMakesItReliable(t *testing.T) {
	tried, sold := 0, 0
	check := func(rt *rapid.T) {
		s, b := anyShelf(rt, t), anyProject(rt)
		mix := true
		b.MixLots = &mix
		b.Width = measure.Length(rapid.Int64Range(200, 1500).Draw(rt, "wide"))
		b.Length = measure.Length(rapid.Int64Range(1000, 9000).Draw(rt, "long"))
		for id, y := range s.Yarns {
			y.PutUp = 50 * measure.Gram
			s.Yarns[id] = y
		}
		o, err := Plan(s, b)
		if err != nil || len(o.Buys) == 0 || o.None {
			return
		}
		tried++
		after, err := Plan(bought(s, o.Buys, 0), b)
		if err != nil {
			rt.Fatal(err)
		}
		if after.Probability < 0.94 { // a package of its own has its own doubt
			rt.Errorf("%+v\nbought: %s %.4f before %s %.4f", o.Buys, after.Verdict,
				after.Probability, o.Verdict, o.Probability)
		}
		if o.Buys[0].Packages < 1 || len(o.Buys) > 1 || len(b.Warp) > 1 { // else another yarn may do
			return
		}
		sold++
		most := 0.96
		if o.Buys[0].Role == WarpAndWeft { // what lacks of both is reckoned apart
			most = 0.98
		}
		if one, err := Plan(bought(s, o.Buys, 1), b); err != nil || one.Verdict == chance.Sure &&
			one.Probability > most {
			rt.Errorf("%+v\nwith one fewer: %.4f, %v", o.Buys, one.Probability, err)
		}
	}
	for round := 0; round < 20 && sold == 0; round++ { // few shelves are short of one yarn alone
		rapid.Check(t, check)
	}
	if tried == 0 || sold == 0 {
		t.Errorf("%d were short, %d of what is sold whole", tried, sold)
	}
}
