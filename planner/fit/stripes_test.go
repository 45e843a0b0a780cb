package fit

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// stripedRequest draws a small problem with stripes. Colours may have two lots.
func stripedRequest(t *rapid.T, kind PlanKind) Request {
	r := Request{
		Geometry: plain{fixed: rapid.Int64Range(0, 30).Draw(t, "fixed"), num: 11, den: 10, gap: 1,
			pick: 1, noWeft: true},
		Ends: EndRule{Max: 12},
		Plan: Plan{Kind: kind, Symmetric: rapid.Bool().Draw(t, "symmetric"),
			MinStripe: rapid.IntRange(0, 2).Draw(t, "least"),
			MaxStripe: rapid.IntRange(2, 6).Draw(t, "greatest")},
		Lots: LotRule(rapid.IntRange(0, 1).Draw(t, "lots")),
	}
	colours := []string{"moss", "oat", "slate"}[:rapid.IntRange(1, 3).Draw(t, "colours")]
	n := 0
	for _, c := range colours {
		for range rapid.IntRange(1, 3).Draw(t, "packages") {
			k := ball(n, rapid.Int64Range(0, 400).Draw(t, "length"))
			k.Colour, k.ForWeft = c, false
			k.Lot = rapid.SampledFrom([]string{"1", "2"}).Draw(t, "lot")
			r.Packages = append(r.Packages, k)
			n++
		}
	}
	for range rapid.IntRange(1, 4).Draw(t, "stripes") {
		r.Plan.Stripes = append(r.Plan.Stripes, Stripe{rapid.SampledFrom(colours).Draw(t, "colour"),
			rapid.IntRange(1, 3).Draw(t, "ends")})
	}
	return r
}

// stripesFitByHand tries every width of every stripe and every lot for it.
func stripesFitByHand(r Request, threaded int, lf measure.Length) bool {
	end := int64(r.Geometry.WarpEnd(lf))
	room := map[[2]string]int{}
	for _, k := range r.Packages {
		lot := ""
		if r.Lots == WholeLots {
			lot = k.Lot
		}
		room[[2]string{k.Colour, lot}] += int(int64(k.Length) / end)
	}
	return tryStripes(r.Plan, 0, threaded, room)
}

// tryStripes places stripe i and those after it.
func tryStripes(p Plan, i, left int, room map[[2]string]int) bool {
	if i == len(p.Stripes) {
		return left == 0
	}
	pair := p.Symmetric && i < len(p.Stripes)-1
	for w := max(1, p.MinStripe); w <= min(left, p.MaxStripe); w++ {
		for _, a := range []string{"", "1", "2"} {
			for _, b := range []string{"", "1", "2"} {
				ka, kb := [2]string{p.Stripes[i].Colour, a}, [2]string{p.Stripes[i].Colour, b}
				if !pair && a != b {
					continue
				}
				used := w
				room[ka] -= w
				if pair {
					room[kb] -= w
					used += w
				}
				ok := room[ka] >= 0 && room[kb] >= 0 && tryStripes(p, i+1, left-used, room)
				room[ka] += w
				if pair {
					room[kb] += w
				}
				if ok {
					return true
				}
			}
		}
	}
	return false
}

func TestFreeStripesOfOneLotReachTheLengthOfBruteForce(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		r := stripedRequest(t, FreeStripes)
		r.Lots = AnyLot
		solved += checkStripes(t, r)
	})
	if solved == 0 {
		t.Fatal("no case had a size that fits")
	}
}

// With whole lots the widths of free stripes are chosen before the lots, so the
// length is one that fits but need not be the greatest.
func TestFreeStripesOfWholeLotsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := stripedRequest(t, FreeStripes)
		r.Lots = WholeLots
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range res.Frontier {
			if !stripesFitByHand(r, p.Threaded, p.Length) {
				t.Fatalf("%d ends: %d mm does not fit", p.Threaded, p.Length)
			}
		}
	})
}

// checkStripes compares the whole frontier with brute force.
func checkStripes(t *rapid.T, r Request) int {
	res, err := Solve(r)
	if err != nil {
		t.Fatal(err)
	}
	at := map[int]measure.Length{}
	for _, p := range res.Frontier {
		at[p.Threaded] = p.Length
	}
	for e := 1; e <= r.Ends.Max; e++ {
		if lf := at[e]; lf > 0 && !stripesFitByHand(r, e, lf) {
			t.Fatalf("%d ends: %d mm does not fit", e, lf)
		}
		if stripesFitByHand(r, e, at[e]+1) {
			t.Fatalf("%d ends: %d mm fits too", e, at[e]+1)
		}
	}
	return len(at)
}

// TestFixedStripesReachTheLengthOfBruteForce tries every assignment of the stripes to lots.
func TestFixedStripesReachTheLengthOfBruteForce(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		r := stripedRequest(t, FixedStripes)
		r.Plan.MinStripe, r.Plan.MaxStripe = 0, 0
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range res.Frontier {
			s := newSolver(&r)
			b, _ := s.layout(p.Threaded)
			if !bandsFitByHand(r, b, p.Length) || bandsFitByHand(r, b, p.Length+1) {
				t.Fatalf("%d ends, stripes %v: %d mm is not the greatest length", p.Threaded, b,
					p.Length)
			}
		}
		solved += len(res.Frontier)
	})
	if solved == 0 {
		t.Fatal("no case had a size that fits")
	}
}

// bandsFitByHand tries every lot for every band.
func bandsFitByHand(r Request, bands []Band, lf measure.Length) bool {
	end := int64(r.Geometry.WarpEnd(lf))
	room := map[[2]string]int{}
	for _, k := range r.Packages {
		lot := ""
		if r.Lots == WholeLots {
			lot = k.Lot
		}
		room[[2]string{k.Colour, lot}] += int(int64(k.Length) / end)
	}
	var place func(i int) bool
	place = func(i int) bool {
		if i == len(bands) {
			return true
		}
		for _, lot := range []string{"", "1", "2"} {
			k := [2]string{bands[i].Colour, lot}
			if room[k] < bands[i].Ends {
				continue
			}
			room[k] -= bands[i].Ends
			ok := place(i + 1)
			room[k] += bands[i].Ends
			if ok {
				return true
			}
		}
		return false
	}
	return place(0)
}

func TestProportionalStripesKeepTheirShares(t *testing.T) {
	f := filler{slots: []slot{{"a", 3, 2}, {"b", 1, 2}, {"c", 2, 1}}}
	w := f.fill(100) // 3+3+1+1+2 = 10 parts
	if w == nil || w[0] != 30 || w[1] != 10 || w[2] != 20 {
		t.Errorf("widths %v, want 30 10 20", w)
	}
	even := filler{slots: []slot{{"a", 1, 2}, {"b", 1, 2}}}
	if w := even.fill(7); w != nil {
		t.Errorf("seven ends in two mirrored pairs gave %v", w)
	}
}

func TestBandsOfASymmetricPlanMirror(t *testing.T) {
	got := bands([]slot{{"a", 1, 2}, {"b", 1, 2}, {"c", 1, 1}}, []int{4, 3, 5})
	want := []Band{{"a", 4}, {"b", 3}, {"c", 5}, {"b", 3}, {"a", 4}}
	for i := range want {
		if len(got) != len(want) || got[i] != want[i] {
			t.Fatalf("bands %v, want %v", got, want)
		}
	}
}

func TestNoStripeChangesLot(t *testing.T) {
	r := Request{
		Geometry: plain{num: 1, den: 1, gap: 1, pick: 1, noWeft: true}, Lots: WholeLots,
		Ends: EndRule{Max: 10},
		Plan: Plan{Kind: FixedStripes, Stripes: []Stripe{{"oat", 4}, {"slate", 2}, {"oat", 4}}},
	}
	r.Packages = warpBalls(300, 300, 300, 300, 200)
	for i := range r.Packages {
		r.Packages[i].Colour, r.Packages[i].Lot = "oat", []string{"1", "1", "2", "2", "1"}[i]
	}
	r.Packages[4].Colour = "slate"
	res, err := Solve(r)
	if err != nil {
		t.Fatal(err)
	}
	if got := res.Recommended.Point.Length; got != 100 {
		t.Errorf("length %d, want 100: a stripe of four from two packages of 300, the slate for two", got)
	}
	if len(res.Recommended.LotChanges) != 0 {
		t.Errorf("lots change at %v", res.Recommended.LotChanges)
	}
	r.Packages[0].Lot = "3" // 300 alone, and 300 of lot 1
	if res, err = Solve(r); err != nil {
		t.Fatal(err)
	}
	if got := res.Recommended.Point.Length; got != 75 {
		t.Errorf("length %d, want 75: one stripe from a single package of 300", got)
	}
	r.Lots = AnyLot
	if res, err = Solve(r); err != nil {
		t.Fatal(err)
	}
	if got := res.Recommended.LotChanges; len(got) != 1 || got[0].Colour != "oat" ||
		len(got[0].Lots) != 3 {
		t.Errorf("lot changes %v, want the oat's", got)
	}
}
