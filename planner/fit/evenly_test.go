package fit

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// TestSmallBallsThatAreAllNeededAreUsedAlike winds warps from balls of one lot of which none can
// be spared: no more than each has, together all ends; where what can be relied on is enough,
// none gives more than that nor two more than one that could give more, else each gives its
// share to within an end.
func TestSmallBallsThatAreAllNeededAreUsedAlike(tb *testing.T) {
	even, shares := 0, 0
	rapid.Check(tb, func(t *rapid.T) {
		var lengths []int64
		end, most, fewest := int64(700+900*12/10), 0, 1<<30
		for range rapid.IntRange(3, 7).Draw(t, "balls") {
			length := rapid.Int64Range(2*end, 34*end).Draw(t, "length")
			lengths = append(lengths, length)
			most, fewest = most+int(length/end), min(fewest, int(length/end))
		}
		r := Request{Packages: warpBalls(lengths...), Geometry: plain{fixed: 700, num: 12, den: 10, gap: 2, pick: 2}}
		doubt := measure.Length(rapid.Int64Range(0, 8).Draw(t, "doubt"))
		for i := range r.Packages {
			r.Packages[i].PlusMinus = r.Packages[i].Length * doubt / 100
		}
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
		sum, least, all, reliable, most := 0, 1<<30, 0, 0, 0
		low := func(i int) int { return r.Packages[i].Windings(r.Packages[i].Reliable(), wound) }
		for i := range lengths {
			units := r.Packages[i].Windings(r.Packages[i].Length, wound)
			sum, least, all = sum+units, min(least, units), all+res.Recommended.Shares[i].Ends
			reliable, most = reliable+low(i), max(most, res.Recommended.Shares[i].Ends)
		}
		if all != ends {
			t.Fatalf("%d ends of %d", all, ends)
		}
		if ends <= sum-least {
			return // a ball can be spared
		}
		for i, s := range res.Recommended.Shares[:len(lengths)] {
			units := r.Packages[i].Windings(r.Packages[i].Length, wound)
			uneven := s.Ends > low(i) || s.Ends < low(i) && s.Ends < most-1
			if reliable < ends {
				uneven = s.Ends*sum < units*ends-sum || s.Ends*sum > units*ends+sum
			}
			if s.Ends > units || s.Warp > measure.Length(lengths[i]) || uneven {
				t.Errorf("%s gives %d of %d ends (%d), all %d of %d (%d)", s.ID, s.Ends, units, low(i),
					ends, sum, reliable)
			}
		}
		if even++; reliable < ends {
			shares++
		}
	})
	if even == shares || shares == 0 {
		tb.Errorf("%d warps needed all their balls, %d of them beyond what can be relied on", even, shares)
	}
}
