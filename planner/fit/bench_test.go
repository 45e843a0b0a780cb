package fit

import (
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// many returns a request with n packages for warp and weft and points end counts.
func many(n, points int) Request {
	r := Request{
		Geometry: plain{fixed: 700, num: 12, den: 10, gap: 2, pick: 2}, Join: 30,
		Want: Want{Width: 400, Length: 1500}, Ends: EndRule{Modulus: 2, Min: 100, Max: 100 +
			2*(points-1)},
	}
	for i := range n {
		k := ball(i, 400_000_000/int64(n)/1000+int64(i%11)*700)
		k.ID = k.ID + "x" + string(rune('a'+i%26))
		k.Own, k.Shared = 300, []chance.Loading{{Factor: "count", Relative: 0.03}}
		r.Packages = append(r.Packages, k)
	}
	return r
}

func benchmarkSolve(b *testing.B, r Request) {
	for b.Loop() {
		res, err := Solve(r)
		if err != nil || res.Recommended == nil {
			b.Fatal(res.Binding, err)
		}
	}
}

func BenchmarkSolveEightPackages(b *testing.B)       { benchmarkSolve(b, many(8, 20)) }
func BenchmarkSolveFiveHundredPackages(b *testing.B) { benchmarkSolve(b, many(500, 20)) }
func BenchmarkFrontierOfTwoHundred(b *testing.B)     { benchmarkSolve(b, many(8, 200)) }

func BenchmarkFrontierOfTwoHundredWithSureLengths(b *testing.B) {
	r := many(8, 200)
	r.Sure = true
	benchmarkSolve(b, r)
}

func BenchmarkGreatestLength(b *testing.B) {
	r := many(8, 1)
	s := newSolver(&r)
	var sink measure.Length
	for b.Loop() {
		lf, _, _ := s.greatestLength(150)
		sink += measure.Length(lf)
	}
	_ = sink
}
