package fit

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// sixty returns sixty balls of 4.8 m, or one cone of the same 288 m.
func sixty(cone bool) []Package {
	if cone {
		return warpBalls(288000)
	}
	lengths := make([]int64, 60)
	for i := range lengths {
		lengths[i] = 4800
	}
	return warpBalls(lengths...)
}

func TestSixtyBallsDoNotMakeTheWarpOfOneCone(t *testing.T) {
	for cone, want := range map[bool]int{true: 115, false: 60} {
		r := Request{Packages: sixty(cone), Geometry: plain{fixed: 500, num: 1, den: 1, gap: 2,
			pick: 1, noWeft: true},
			Want: Want{MinLength: 2000, MaxLength: 2000}}
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if got := res.Frontier[len(res.Frontier)-1].Threaded; got != want {
			t.Errorf("cone %v: %d ends of 2.5 m, want %d", cone, got, want)
		}
	}
}

// both returns a request for one yarn that serves warp and weft, with every kind of doubt.
func both() Request {
	r := Request{
		Geometry: plain{fixed: 700, num: 12, den: 10, gap: 2, pick: 2}, Join: 30,
		Want:   Want{Width: 300, Length: 900, MinWidth: 150, MaxWidth: 500},
		Ends:   EndRule{Modulus: 10},
		PutUps: []PutUp{{Name: "50 g ball", Yarn: "oat", Length: 85000}},
	}
	for i := range 5 {
		k := ball(i, 83000+int64(i)*1700)
		k.Own, k.PlusMinus = 900, 5000
		k.Shared = []chance.Loading{{Factor: "count", Relative: 0.03}}
		r.Packages = append(r.Packages, k)
	}
	return r
}

func mustSolve(t testing.TB, r Request) Result {
	t.Helper()
	res, err := Solve(r)
	if err != nil {
		t.Fatal(err)
	}
	if res.Recommended == nil {
		t.Fatalf("nothing fits, bound by %v", res.Binding)
	}
	return res
}

func TestSharesCoverTheRecommendedSizeAndNoMore(t *testing.T) {
	res := mustSolve(t, both())
	rec := res.Recommended
	r := both()
	ends, warp, weft := 0, measure.Length(0), measure.Length(0)
	for i, sh := range rec.Shares {
		ends += sh.Ends
		warp += sh.Warp
		weft += sh.Weft
		if sh.Left < 0 || sh.Warp+sh.Weft+sh.Left != r.Packages[i].Length {
			t.Errorf("share %+v does not add up to %d", sh, r.Packages[i].Length)
		}
		if sh.Warp != measure.Length(sh.Ends)*rec.WarpEnd {
			t.Errorf("share %+v is not whole ends of %d", sh, rec.WarpEnd)
		}
	}
	if ends != rec.Point.Ends {
		t.Errorf("%d ends cut, want %d", ends, rec.Point.Ends)
	}
	need := r.Geometry.Weft(rec.Point.Threaded, rec.Length)
	if weft != rec.Weft || weft < need || weft > need+4*r.Join {
		t.Errorf("weft %d (%d in all), want %d and at most four joins", weft, rec.Weft, need)
	}
}

func TestSharesNeverGoBelowNothing(t *testing.T) {
	checked := 0
	rapid.Check(t, func(t *rapid.T) {
		r := smallRequest(t)
		res, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		if res.Recommended == nil {
			return
		}
		checked++
		rec := res.Recommended
		var ends int
		var weft measure.Length
		for i, sh := range rec.Shares {
			if sh.Left < 0 || sh.Warp < 0 || sh.Weft < 0 ||
				sh.Warp+sh.Weft+sh.Left != r.Packages[i].Length {
				t.Fatalf("share %+v of %d", sh, r.Packages[i].Length)
			}
			ends += sh.Ends
			weft += sh.Weft
		}
		if need := rec.Point.Ends * max(1, r.Ends.Strands); ends < need || ends > need+1 {
			t.Fatalf("%d strands cut, want %d", ends, need)
		}
		if need := r.Geometry.Weft(rec.Point.Threaded, rec.Length); weft < need {
			t.Fatalf("weft %d, want %d", weft, need)
		}
		if !(rec.Chance.Probability >= 0 && rec.Chance.Probability <= 1) || rec.Point.Length95 < 0 {
			t.Fatalf("probability %g, 95%% length %d", rec.Chance.Probability, rec.Point.Length95)
		}
	})
	if checked == 0 {
		t.Fatal("no case had a size that fits")
	}
}

func TestStrandsOfAPackageAreCountedOneByOne(t *testing.T) {
	k := warpBalls(10000)
	k[0].Strands = []measure.Length{3000, 3000, 4000}
	s := newSolver(&Request{Packages: k, Geometry: plain{num: 1, den: 1}})
	for yarn, want := range map[int64]int{3000: 3, 2000: 4, 3001: 1, 1500: 6} {
		if got := s.units(0, yarn); got != want {
			t.Errorf("%d ends of %d mm from strands of 3, 3 and 4 m, want %d", got, yarn, want)
		}
	}
	k[0].Strands, k[0].Longest = nil, 2500
	s = newSolver(&Request{Packages: k, Geometry: plain{num: 1, den: 1}})
	for yarn, want := range map[int64]int{2500: 4, 2501: 0, 1000: 8} {
		if got := s.units(0, yarn); got != want {
			t.Errorf("%d ends of %d mm from thrums of 2.5 m, want %d", got, yarn, want)
		}
	}
}

func TestOneMorePackageGivesItsGain(t *testing.T) {
	r := both()
	res := mustSolve(t, r)
	g := res.Recommended.Gains
	if len(g) != 1 || g[0].Length <= 0 {
		t.Fatalf("gains %+v, want one with a length", g)
	}
	r.Packages = append(r.Packages, ball(9, 85000))
	r.Ends.Min, r.Ends.Max = res.Recommended.Point.Threaded, res.Recommended.Point.Threaded
	more := mustSolve(t, r)
	if got := more.Recommended.Point.Length - res.Recommended.Point.Length; got != g[0].Length {
		t.Errorf("a ball more gives %d mm, announced as %d", got, g[0].Length)
	}
}

func TestSureLengthIsTheLastWithNineteenInTwenty(t *testing.T) {
	r := both()
	rec := mustSolve(t, r).Recommended
	s := newSolver(&r)
	trial, err := s.laidOut(rec.Point.Threaded, int64(rec.Point.Length), int64(rec.Point.Length))
	if err != nil {
		t.Fatal(err)
	}
	at := func(lf measure.Length) float64 {
		a, err := chance.Fits(s.problem(rec.Point.Threaded, int64(lf), &trial))
		if err != nil {
			t.Fatal(err)
		}
		return a.Probability
	}
	l := rec.Point.Length95
	if l <= 0 || l >= rec.Point.Length {
		t.Fatalf("95%% length %d beside %d", l, rec.Point.Length)
	}
	const bound = 0.001 // what Fits states near a verdict, twice
	if at(l) < 0.95-bound || at(l+l/100) >= 0.95+bound {
		t.Errorf("probability %.5f at %d mm and %.5f a hundredth above", at(l), l, at(l+l/100))
	}
	if rec.Chance.Probability != at(rec.Length) ||
		rec.Chance.Verdict != chance.VerdictOf(rec.Chance.Probability) {
		t.Errorf("probability %.5f, verdict %s", rec.Chance.Probability, rec.Chance.Verdict)
	}
}

func TestAnswersAreTheSameEveryTime(t *testing.T) {
	r := both()
	r.Sure = true
	first := mustSolve(t, r)
	for range 3 {
		if again := mustSolve(t, r); !reflect.DeepEqual(first, again) {
			t.Fatal("the same request gave another answer")
		}
	}
	if len(first.Frontier) < 5 {
		t.Fatalf("only %d points", len(first.Frontier))
	}
	for _, p := range first.Frontier {
		if !p.HasLength95 || p.Length95 > p.Length || p.Length95 < 0 {
			t.Errorf("point %+v", p)
		}
	}
}

func TestAnUnknownLengthIsAnErrorThatNamesThePackage(t *testing.T) {
	r := both()
	r.Packages[1].Unknown, r.Packages[1].Measure = true, "weigh it on the 0.1 g scale"
	r.Packages[3].Unknown = true
	_, err := Solve(r)
	var unknown *UnknownLengthError
	if !errors.As(err, &unknown) || !reflect.DeepEqual(unknown.Packages, []string{"p01", "p03"}) {
		t.Fatalf("error %v", err)
	}
	for _, want := range []string{"p01 is unknown: weigh it on the 0.1 g scale",
		"p03 is unknown: weigh it, and cut"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("error %q does not say %q", err, want)
		}
	}
}

func TestRequestsWithoutAnAnswerAreRefused(t *testing.T) {
	for want, spoil := range map[string]func(r *Request){
		"no geometry":  func(r *Request) { r.Geometry = nil },
		"stands twice": func(r *Request) { r.Packages[1].ID = "p00" },
		"strand of -5 mm": func(r *Request) {
			r.Packages[2].Strands = []measure.Length{-5, 9}
		},
		"item p02: a length":     func(r *Request) { r.Packages[2].Length = -1 },
		"must not be below zero": func(r *Request) { r.Join = -1 },
		"no yarn for the warp":   func(r *Request) { r.Packages = r.Packages[:1]; r.Packages[0].ForWarp = false },
		"has no stripes":         func(r *Request) { r.Plan.Kind = FixedStripes },
		`asks for "teal"`: func(r *Request) {
			r.Plan = Plan{Kind: FreeStripes, Stripes: []Stripe{{"teal", 1}}}
		},
		"has 0 ends": func(r *Request) {
			r.Plan = Plan{Kind: FixedStripes, Stripes: []Stripe{{"", 0}}}
		},
		"is above the greatest": func(r *Request) {
			r.Plan = Plan{Kind: FreeStripes, MinStripe: 3, MaxStripe: 2}
		},
	} {
		r := both()
		spoil(&r)
		if _, err := Solve(r); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

func TestBindingIsNamed(t *testing.T) {
	g := plain{fixed: 700, num: 12, den: 10, gap: 2, pick: 2}
	weft := ball(9, 5_000_000)
	weft.ForWarp = false
	want := Want{Width: 400, Length: 1000}
	for name, c := range map[string]struct {
		r    Request
		want string
	}{
		"warp": {Request{Packages: append(warpBalls(200000), weft)}, "warp"},
		"weft": {Request{Packages: append(warpBalls(900000),
			Package{ID: "w", Length: 90000, ForWeft: true})}, "weft"},
		"loom": {Request{Packages: append(warpBalls(900000), weft),
			Ends: EndRule{Limits: []Limit{{"loom width", 120}}}}, "loom width"},
		"none": {Request{Packages: append(warpBalls(900000), weft)}, "nothing"},
	} {
		c.r.Geometry, c.r.Want = g, want
		if got := mustSolve(t, c.r).Recommended.Binding.String(); got != c.want {
			t.Errorf("%s: bound by %q, want %q", name, got, c.want)
		}
	}
}

func TestNothingFitsSaysWhatBinds(t *testing.T) {
	r := Request{Packages: warpBalls(5000), Geometry: plain{fixed: 700, num: 1, den: 1, gap: 2,
		pick: 1},
		Want: Want{MinLength: 6000}}
	res, err := Solve(r)
	if err != nil || res.Recommended != nil || res.Binding.Kind != Warp {
		t.Errorf("got %+v, %v, want nothing for want of warp", res, err)
	}
	r.Want, r.Ends.Limits = Want{}, []Limit{{"heddles", 0}}
	if res, err = Solve(r); err != nil || res.Binding.Name != "heddles" {
		t.Errorf("got %+v, %v, want nothing for want of heddles", res, err)
	}
}

func TestMoreYarnNeverMakesItSmaller(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := smallRequest(t)
		r.Join = 0
		before, err := Solve(r)
		if err != nil {
			t.Fatal(err)
		}
		grown := r
		grown.Packages = append([]Package(nil), r.Packages...)
		i := rapid.IntRange(0, len(r.Packages)-1).Draw(t, "grown")
		grown.Packages[i].Length += measure.Length(rapid.Int64Range(0, 300).Draw(t, "more"))
		more := ball(20, rapid.Int64Range(0, 500).Draw(t, "new"))
		added := grown
		added.Packages = append(append([]Package(nil), grown.Packages...), more)
		for _, q := range []Request{grown, added} {
			after, err := Solve(q)
			if err != nil {
				t.Fatal(err)
			}
			noShorter(t, before.Frontier, after.Frontier)
		}
	})
}

// noShorter fails where an end count has become shorter.
func noShorter(t *rapid.T, before, after []Point) {
	at := map[int]measure.Length{}
	for _, p := range after {
		at[p.Threaded] = p.Length
	}
	for _, p := range before {
		if at[p.Threaded] < p.Length {
			t.Fatalf("%d ends: %d mm before, %d with more yarn", p.Threaded, p.Length,
				at[p.Threaded])
		}
	}
}

func TestMoreSharedUncertaintyNeverRaisesTheSureSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := both()
		r.PutUps = nil
		last := measure.Length(1 << 40)
		base := rapid.Float64Range(0, 0.02).Draw(t, "count")
		for step := range 4 {
			for i := range r.Packages {
				r.Packages[i].Shared = []chance.Loading{{Factor: "count", Relative: base +
					0.01*float64(step)}}
			}
			res, err := Solve(r)
			if err != nil {
				t.Fatal(err)
			}
			l := res.Recommended.Point.Length95
			if l > last+last/500 { // the bound of the probability
				t.Fatalf("95%% length rose from %d to %d with more doubt", last, l)
			}
			last = l
		}
	})
}

func TestAdviceNamesTheGreatestDoubt(t *testing.T) {
	r := both()
	rec := mustSolve(t, r).Recommended
	a, err := Advise(r, rec, []chance.Measurement{
		{Name: "weigh p00", Package: 0},
		{Name: "cut and weigh ten metres", Factor: "count", Remaining: 0.3},
	})
	if err != nil || a == nil {
		t.Fatal(a, err)
	}
	if a.Worth.Measurement.Name != "cut and weigh ten metres" ||
		!(a.Low < a.Now && a.Now < a.High) {
		t.Errorf("advice %+v", a)
	}
	if none, err := Advise(r, rec,
		[]chance.Measurement{{Name: "weigh nothing new", Factor: "no such error"}}); none != nil ||
		err != nil {
		t.Errorf("advice %+v, %v, want none", none, err)
	}
}

func ExampleSolve() {
	res, err := Solve(both())
	if err != nil {
		fmt.Println(err)
		return
	}
	rec := res.Recommended
	fmt.Printf("%d ends, %d × %d mm, bound by: %s\n", rec.Point.Threaded, rec.Point.Width,
		rec.Length, rec.Binding)
	// Output: 150 ends, 300 × 900 mm, bound by: nothing
}

// TestWhatIsCutOffLeavesTheDoubtOfTheWhole cuts a length that is known off a package: what
// is left is in doubt by as many metres as before.
func TestWhatIsCutOffLeavesTheDoubtOfTheWhole(t *testing.T) {
	k := Package{Length: 700_000, Own: 300, Shared: []chance.Loading{{Factor: "count", Relative: 0.04}}}
	left := k.Less(646_000)
	l := left.Shared[0]
	if by := l.Relative*float64(left.Length) + l.Absolute; left.Length != 54_000 || by != 28_000 {
		t.Errorf("%v left, ± %.0f mm", left.Length, by)
	}
	if k.Shared[0].Absolute != 0 || k.Less(800_000).Length != 0 {
		t.Errorf("%+v, %+v", k, k.Less(800_000))
	}
}
