package fit

import (
	"errors"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// twoYarns is a warp cone and a weft cone, each with a count error of its own.
func twoYarns(warp, weft measure.Length) Request {
	pack := func(id string, l measure.Length, forWarp bool) Package {
		return Package{
			ID: id, Yarn: id, Length: l, PlusMinus: l / 20, ForWarp: forWarp, ForWeft: !forWarp,
			Own:    500,
			Shared: []chance.Loading{{Factor: "count of " + id, Relative: 0.05}},
		}
	}
	return Request{
		Packages: []Package{pack("warp", warp, true), pack("weft", weft, false)},
		Geometry: lines{}, Ends: EndRule{Modulus: 4, Min: 100, Max: 100}, Want: Want{Length: 1500},
	}
}

// lines is a cloth whose warp end is 800 mm and the length, and whose weft is
// half a metre for each centimetre and end.
type lines struct{}

func (lines) WarpEnd(lf measure.Length) measure.Length { return lf + 800 }
func (lines) Weft(threaded int, lf measure.Length) measure.Length {
	return measure.Length(threaded) * lf * 5 / 3
}
func (lines) Once(int) measure.Length           { return 0 }
func (lines) Width(threaded int) measure.Length { return measure.Length(threaded) * 2 }

func TestChanceAtTheRecommendedSizeIsItsProbability(t *testing.T) {
	r := twoYarns(250_000, 270_000)
	res, err := Solve(r)
	if err != nil || res.Recommended == nil {
		t.Fatal(err, res)
	}
	got, err := Chance(r, 100, res.Recommended.Length)
	if err != nil || got.Probability != res.Recommended.Chance.Probability {
		t.Errorf("chance %v, recommended %v, %v", got, res.Recommended.Chance.Probability, err)
	}
}

func TestChanceFallsWithLength(t *testing.T) {
	r := twoYarns(250_000, 270_000)
	last := 1.0
	var low, high bool
	for lf := measure.Length(600); lf <= 2600; lf += 100 {
		a, err := Chance(r, 100, lf)
		p := a.Probability
		if err != nil || p > last+a.Bound || p < 0 {
			t.Fatalf("at %d: %v after %v, %v", lf, p, last, err)
		}
		last, low, high = p, low || p < 0.05, high || p > 0.95
	}
	if !low || !high {
		t.Error("the lengths tried do not reach from sure to hopeless")
	}
}

func TestChanceBeyondWhatFitsIsStillGiven(t *testing.T) {
	r := twoYarns(225_000, 270_000) // 2.25 m an end: 1500 mm asks for 2.3 m
	res, err := Solve(r)
	if err != nil || res.Recommended == nil || res.Recommended.Length >= 1500 {
		t.Fatal("the case is to be short on the middle estimates", err)
	}
	a, err := Chance(r, 100, 1500)
	p := a.Probability
	if err != nil || p <= 0.1 || p >= 0.5 {
		t.Errorf("chance %v, %v: two per cent short of a five per cent doubt is neither sure nor hopeless", p, err)
	}
}

func TestChanceOfWhatCannotBeIsZero(t *testing.T) {
	p, err := Chance(twoYarns(50_000, 270_000), 100, 1500) // half a metre an end
	if err != nil || p.Probability != 0 {
		t.Errorf("chance %v, %v", p, err)
	}
}

func TestChanceOfAnUnknownLengthIsAnError(t *testing.T) {
	r := twoYarns(250_000, 270_000)
	r.Packages[0].Unknown = true
	_, err := Chance(r, 100, 1500)
	var unknown *UnknownLengthError
	if !errors.As(err, &unknown) {
		t.Errorf("error %v", err)
	}
}
