package fit

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// fitsByHand decides a one-colour size from the definition, by trying every way to
// share the ends among the packages.
func fitsByHand(r Request, threaded int, lf measure.Length) bool {
	end := int64(r.Geometry.WarpEnd(lf))
	per := int64(1)
	if r.Ends.Loops {
		per = 2
	}
	need := (int64(threaded+r.Ends.Floats)*int64(max(1, r.Ends.Strands)) + per - 1) / per
	first := int64(0) // the first strand of the weft needs no join
	for _, k := range r.Packages {
		if k.ForWeft && int64(k.Length) > int64(k.Knots+1)*int64(r.Join) {
			first = int64(r.Join)
		}
	}
	return shareOut(r, 0, need, first, per*end, int64(r.Geometry.Weft(threaded, lf)))
}

// shareOut tries every number of windings from package i on; got is the weft so far,
// with one join charged to each strand.
func shareOut(r Request, i int, need, got, yarn, weft int64) bool {
	if i == len(r.Packages) {
		return need <= 0 && (weft <= 0 || got >= weft)
	}
	k := r.Packages[i]
	var most int64
	if k.ForWarp {
		most = max(0, int64(k.Length)/yarn-int64(k.Knots))
	}
	for n := int64(0); n <= min(most, max(0, need)); n++ {
		rest := int64(0)
		if charge := int64(k.Knots+1) * int64(r.Join); k.ForWeft && int64(k.Length) > charge {
			rest = int64(k.Length) - charge - n*yarn
		}
		if shareOut(r, i+1, need-n, got+rest, yarn, weft) {
			return true
		}
	}
	return false
}

// smallRequest draws a problem small enough for brute force.
func smallRequest(t *rapid.T) Request {
	r := Request{
		Geometry: plain{
			fixed: rapid.Int64Range(0, 60).Draw(t, "fixed"),
			num:   rapid.Int64Range(10, 14).Draw(t, "num"), den: 10,
			gap:    rapid.Int64Range(1, 3).Draw(t, "gap"),
			pick:   rapid.Int64Range(1, 3).Draw(t, "pick"),
			noWeft: rapid.Bool().Draw(t, "noWeft"),
		},
		Join: measure.Length(rapid.Int64Range(0, 6).Draw(t, "join")),
		Ends: EndRule{Loops: rapid.Bool().Draw(t, "loops"), Floats: 2 * rapid.IntRange(0, 1).Draw(t,
			"floats"),
			Strands: rapid.IntRange(1, 2).Draw(t, "strands"), Max: 9},
	}
	n := rapid.IntRange(1, 4).Draw(t, "packages")
	for i := range n {
		k := ball(i, rapid.Int64Range(0, 900).Draw(t, "length"))
		k.ForWarp = i == 0 || rapid.Bool().Draw(t, "warp")
		k.ForWeft = rapid.Bool().Draw(t, "weft")
		k.Knots = rapid.IntRange(0, 1).Draw(t, "knots")
		r.Packages = append(r.Packages, k)
	}
	return r
}

func TestGreatestLengthIsThatOfBruteForce(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		r := smallRequest(t)
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		at := map[int]measure.Length{}
		for _, p := range res.Frontier {
			at[p.Threaded] = p.Length
		}
		for e := 1; e <= r.Ends.Max; e++ {
			lf := at[e]
			if lf > 0 && !fitsByHand(r, e, lf) {
				t.Fatalf("%d ends: %d mm does not fit", e, lf)
			}
			if fitsByHand(r, e, lf+1) {
				t.Fatalf("%d ends: %d mm fits too", e, lf+1)
			}
		}
		solved += len(at)
	})
	if solved == 0 {
		t.Fatal("no case had a size that fits")
	}
}
