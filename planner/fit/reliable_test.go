package fit

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// lotsOfOat draws a warp of one colour in two to four lots, with or without stripes.
func lotsOfOat(t *rapid.T) Request {
	r := Request{Geometry: plain{num: 10, den: 10, gap: 2, pick: 2, noWeft: true},
		Ends: EndRule{Max: 20}, Lots: LotRule(rapid.IntRange(0, 1).Draw(t, "lots"))}
	for i := range rapid.IntRange(2, 4).Draw(t, "packages") {
		k := ball(i, rapid.Int64Range(1000, 9000).Draw(t, "length"))
		k.PlusMinus = k.Length * measure.Length(rapid.Int64Range(1, 30).Draw(t, "doubt")) / 100
		k.Lot, k.ForWeft = k.ID, false
		r.Packages = append(r.Packages, k)
	}
	switch rapid.IntRange(0, 2).Draw(t, "plan") {
	case 0:
		r.Plan = Plan{Kind: FixedStripes}
		for range rapid.IntRange(2, 6).Draw(t, "stripes") {
			r.Plan.Stripes = append(r.Plan.Stripes, Stripe{"", rapid.IntRange(1, 5).Draw(t, "ends")})
		}
	case 1:
		r.Lots = AnyLot
		r.Plan = Plan{Kind: FreeStripes}
		for i := range r.Packages {
			r.Packages[i].Colour = r.Packages[i].ID
			r.Plan.Stripes = append(r.Plan.Stripes, Stripe{r.Packages[i].ID, 1})
		}
	}
	return r
}

// TestNoLotGivesMoreThanCanBeReliedOnWhileAnotherHasSome lays out random warps of several
// lots: where a lot gives more ends than can be relied on, those of what can be relied on of
// all that it takes from do not make the warp.
func TestNoLotGivesMoreThanCanBeReliedOnWhileAnotherHasSome(t *testing.T) {
	held, over := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := lotsOfOat(t)
		for i := range r.Plan.Stripes {
			r.Plan.Stripes[i].Colour = r.Packages[i%len(r.Packages)].Colour
		}
		r.Want = Want{Length: measure.Length(rapid.Int64Range(500, 2000).Draw(t, "wanted"))}
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if res.Recommended == nil {
			return
		}
		given, reliable, beyond, taken := 0, 0, false, 0
		for i, share := range res.Recommended.Shares {
			if share.Ends == 0 {
				continue
			}
			low := int(r.Packages[i].Reliable() / res.Recommended.WarpEnd)
			if r.Plan.Kind == FreeStripes {
				low = max(low, 1) // each colour has a stripe
			}
			taken, given, reliable = taken+1, given+share.Ends, reliable+low
			beyond = beyond || share.Ends > low
		}
		if held++; beyond {
			over++
		}
		// stripes that may not be parted may go beyond where their ends in all would do
		parted := r.Plan.Kind != FixedStripes && (r.Lots == AnyLot || taken > 1)
		if beyond && taken > 1 && parted && given <= reliable {
			t.Errorf("%d ends of %d that can be relied on, and one lot gives more: %+v", given, reliable,
				res.Recommended.Shares)
		}
	})
	if held < 20 || over == 0 {
		t.Errorf("%d warps, %d of them beyond what can be relied on", held, over)
	}
}

// TestNoBallOfWeftGivesMoreThanCanBeReliedOnWhileAnotherHasSome weaves random wefts of several
// balls: all that is needed is taken, and where a ball gives more than can be relied on, what
// can be relied on of all that it is taken from is given.
func TestNoBallOfWeftGivesMoreThanCanBeReliedOnWhileAnotherHasSome(t *testing.T) {
	several, over := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := Request{Geometry: plain{num: 10, den: 10, gap: 2, pick: 2},
			Join: measure.Length(rapid.IntRange(0, 30).Draw(t, "join")), Ends: EndRule{Max: 10},
			Packages: []Package{{ID: "warp", Length: 1 << 40, ForWarp: true}}}
		for i := range rapid.IntRange(2, 5).Draw(t, "balls") {
			k := ball(i, rapid.Int64Range(500, 9000).Draw(t, "length"))
			k.PlusMinus = k.Length * measure.Length(rapid.Int64Range(0, 40).Draw(t, "doubt")) / 100
			k.Lot, k.ForWarp = k.ID, rapid.Bool().Draw(t, "warp too")
			r.Packages = append(r.Packages, k)
		}
		r.Want = Want{Length: measure.Length(rapid.Int64Range(200, 3000).Draw(t, "wanted"))}
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		rec := res.Recommended
		if rec == nil {
			return
		}
		var woven, joins, spare measure.Length
		balls, beyond := 0, false
		for i, share := range rec.Shares {
			k := r.Packages[i]
			if share.Weft+share.Warp+share.Left != k.Length || share.Left < 0 {
				t.Fatalf("%+v of %d", share, k.Length)
			}
			if share.Weft == 0 {
				continue
			}
			balls, woven = balls+1, woven+share.Weft
			rest := k.Reliable() - share.Warp - share.Weft
			beyond = beyond || rest < 0
			spare += max(0, rest)
		}
		if balls > 0 {
			joins = r.Join * measure.Length(balls-1)
		}
		if need := r.Geometry.Weft(rec.Point.Threaded, rec.Length); woven-joins < need || woven != rec.Weft {
			t.Fatalf("%d woven, %d of joins, %d needed, %d told", woven, joins, need, rec.Weft)
		}
		if balls > 1 {
			several++
			if beyond {
				over++
			}
			if beyond && spare > 0 {
				t.Errorf("beyond what can be relied on while %d could be: %+v", spare, rec.Shares)
			}
		}
	})
	if several < 10 || over == 0 || over == several {
		t.Errorf("%d wefts of several balls, %d beyond what can be relied on", several, over)
	}
}
