package fit

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// TestSmallBallsThatAreAllNeededAreUsedAlike winds warps from balls of one lot of which none can
// be spared: each gives its share to within an end, no more than it has, and together all ends.
func TestSmallBallsThatAreAllNeededAreUsedAlike(tb *testing.T) {
	even := 0
	rapid.Check(tb, func(t *rapid.T) {
		var lengths []int64
		end, most, fewest := int64(700+900*12/10), 0, 1<<30
		for range rapid.IntRange(3, 7).Draw(t, "balls") {
			length := rapid.Int64Range(2*end, 34*end).Draw(t, "length")
			lengths = append(lengths, length)
			most, fewest = most+int(length/end), min(fewest, int(length/end))
		}
		r := Request{Packages: warpBalls(lengths...), Geometry: plain{fixed: 700, num: 12, den: 10, gap: 2, pick: 2}}
		ends := rapid.IntRange(most-fewest-1, most).Draw(t, "ends") // all balls, or one to spare
		r.Ends.Min, r.Ends.Max, r.Want = ends, ends, Want{Length: 900}
		r.Packages = append(r.Packages, Package{ID: "weft", Yarn: "moss", Length: 1 << 40, ForWeft: true})
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if res.Recommended == nil || res.Recommended.Length < 900 {
			return
		}
		wound := res.Recommended.WarpEnd
		sum, least, all := 0, 1<<30, 0
		for i := range lengths {
			units := r.Packages[i].Windings(r.Packages[i].Length, wound)
			sum, least, all = sum+units, min(least, units), all+res.Recommended.Shares[i].Ends
		}
		if all != ends {
			t.Fatalf("%d ends of %d", all, ends)
		}
		if ends <= sum-least {
			return // a ball can be spared
		}
		even++
		for i, s := range res.Recommended.Shares[:len(lengths)] {
			units := r.Packages[i].Windings(r.Packages[i].Length, wound)
			if s.Ends > units || s.Warp > measure.Length(lengths[i]) ||
				s.Ends*sum < units*ends-sum || s.Ends*sum > units*ends+sum {
				t.Errorf("%s gives %d of %d ends, all %d of %d", s.ID, s.Ends, units, ends, sum)
			}
		}
	})
	if even == 0 {
		tb.Error("no warp needed all its balls")
	}
}
