package chance

import (
	"math"
	"strings"
	"testing"
)

func TestVerdictChangesAtTheStatedProbabilities(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want Verdict
	}{{1, Sure}, {0.95, Sure}, {0.9499, Likely}, {0.5, Likely}, {0.4999, Short}, {0, Short}} {
		if got := VerdictOf(c.p); got != c.want {
			t.Errorf("VerdictOf(%g) = %s, want %s", c.p, got, c.want)
		}
	}
}

func TestAnUnknownPackageThatIsNeededGivesUnknown(t *testing.T) {
	p := Problem{WarpEnd: Need{Length: 2400}, Packages: balls(3, 7300, 10),
		Warp: []WarpPool{{seq(0, 3), 9}}}
	p.Packages[2].Unknown = true
	a, err := Fits(p)
	if err != nil {
		t.Fatal(err)
	}
	if a.Verdict != Unknown || len(a.Unmeasured) != 1 || a.Unmeasured[0] != "b02" {
		t.Errorf("got %+v, want unknown for want of b02", a)
	}
}

func TestAnUnknownPackageThatIsNotNeededDoesNotMatter(t *testing.T) {
	p := Problem{WarpEnd: Need{Length: 2400}, Packages: balls(3, 7300, 10),
		Warp: []WarpPool{{seq(0, 3), 6}}}
	p.Packages[2].Unknown = true
	if a, err := Fits(p); err != nil || a.Verdict != Sure {
		t.Errorf("got %+v, %v, want sure on the two known packages", a, err)
	}
	p.Packages[2].Unknown, p.Packages[2].Length = false, math.NaN()
	if _, err := Fits(p); err == nil {
		t.Error("a length that is not a number was taken")
	}
}

func TestProblemsWithoutAnAnswerAreRefused(t *testing.T) {
	good := func() Problem {
		return Problem{WarpEnd: Need{Length: 2400}, Packages: balls(4, 7300, 10),
			Warp: []WarpPool{{[]int{0, 1}, 6}}, Weft: []WeftPool{{[]int{1}, Need{Length: 10}},
				{[]int{2}, Need{Length: 10}}}}
	}
	if _, err := Fits(good()); err != nil {
		t.Fatal(err)
	}
	cases := map[string]func(p *Problem){
		"warp end of":      func(p *Problem) { p.WarpEnd.Length = 0 },
		"names package 9":  func(p *Problem) { p.Warp[0].Packages[0] = 9 },
		"twice among":      func(p *Problem) { p.Weft[1].Packages[0] = 1 },
		"feeds weft pools": func(p *Problem) { p.Warp[0].Packages = []int{1, 2} },
		"need is not":      func(p *Problem) { p.Weft[0].Need.Length = math.Inf(1) },
		"length or share":  func(p *Problem) { p.Packages[0].Own = -1 },
		"loading on \"x\"": func(p *Problem) {
			p.Packages[0].Shared = []Loading{{"x", math.NaN(), 0}}
		},
		"package b03: -1 k": func(p *Problem) { p.Packages[3].Knots = -1 },
	}
	for want, spoil := range cases {
		p := good()
		spoil(&p)
		if _, err := Fits(p); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}
