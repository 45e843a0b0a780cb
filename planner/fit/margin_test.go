package fit

import (
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// TestTheMarginMakesItSureAndLessDoesNot takes a size that is likely and adds the yarn
// that the margin asks for, and nine tenths of it.
func TestTheMarginMakesItSureAndLessDoesNot(t *testing.T) {
	r := twoYarns(400_000, 260_000) // 100 ends and 1500 mm take 250 m of weft, in 5 % doubt
	m, err := oneMargin(r)
	if err != nil || m == nil || m.First.Kind != Weft || m.More <= 0 || m.Packages != 0 {
		t.Fatalf("%+v, %v", m, err)
	}
	with := func(more measure.Length) chance.Answer {
		s, trial, err := r.at(100, 1500)
		if err != nil {
			t.Fatal(err)
		}
		p := s.problem(100, 1500, trial)
		a, err := chance.Fits(p.With(1, float64(more)))
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	if a := with(m.More); a.Probability < 0.94 {
		t.Errorf("%d mm more of the weft: %.4f", m.More, a.Probability)
	}
	if a := with(m.More * 7 / 10); a.Verdict == chance.Sure {
		t.Errorf("seven tenths of it do too: %.4f", a.Probability)
	}
}

func TestTheMarginIsBoughtInWholePackages(t *testing.T) {
	r := twoYarns(400_000, 260_000)
	r.PutUps = []PutUp{{Name: "100 g of weft", Yarn: "weft", Length: 8_000},
		{Name: "100 g of warp", Yarn: "warp", Length: 50_000}}
	m, err := oneMargin(r)
	if err != nil || m == nil || m.PutUp == nil || m.PutUp.Yarn != "weft" {
		t.Fatalf("%+v, %v", m, err)
	}
	if got := measure.Length(m.Packages) * 8_000; got < m.More || got > m.More+2*8_000 {
		t.Errorf("%d packages for %d mm", m.Packages, m.More)
	}
}

// marginsOf are the margins of 100 ends and 1500 mm.
func marginsOf(r Request) ([]Margin, error) {
	odds, err := Chance(r, 100, 1500)
	if err != nil {
		return nil, err
	}
	return odds.Margins()
}

// oneMargin is the margin where there is one alone.
func oneMargin(r Request) (*Margin, error) {
	all, err := marginsOf(r)
	if err != nil || len(all) != 1 {
		return nil, err
	}
	return &all[0], nil
}

func TestWhatIsSureHasNoMarginAndWhereBothAreShortBothAreSaid(t *testing.T) {
	if m, err := marginsOf(twoYarns(400_000, 400_000)); m != nil || err != nil {
		t.Errorf("sure, and yet %+v, %v", m, err)
	}
	r := twoYarns(228_000, 245_000)
	all, err := marginsOf(r)
	if err != nil || len(all) != 2 || all[0].Yarn == all[1].Yarn {
		t.Fatalf("%+v, %v", all, err)
	}
	for _, m := range all {
		for i := range r.Packages {
			if r.Packages[i].Yarn == m.Yarn {
				r.Packages[i].Length += m.More
			}
		}
	}
	if a, err := Chance(r, 100, 1500); err != nil || a.Probability < 0.93 {
		t.Errorf("with what lacks of both: %.4f, %v", a.Probability, err)
	}
}

// TestThrumsShorterThanAPassWeaveNothing gives a weft in strands just shorter and just
// longer than a pass with its overlap.
func TestThrumsShorterThanAPassWeaveNothing(t *testing.T) {
	for longest, want := range map[measure.Length]bool{199 + 30: false, 201 + 30: true} {
		r := twoYarns(400_000, 500_000)
		r.Packages[1].Longest, r.Pass, r.Join = longest, 200, 30
		a, err := Chance(r, 100, 1500)
		if err != nil || (a.Probability > 0.9) != want || !want && a.Probability != 0 {
			t.Errorf("strands of %d mm: %.4f, %v", longest, a.Probability, err)
		}
	}
}

// TestTheDebitOfThrumsDoesNotDependOnWhatElseLiesThere takes the same weft from ever
// more strands: each that is woven in costs one overlap, those that stay cost none.
func TestTheDebitOfThrumsDoesNotDependOnWhatElseLiesThere(t *testing.T) {
	var first measure.Length
	for _, held := range []measure.Length{400_000, 800_000, 3_000_000} {
		r := twoYarns(400_000, held)
		r.Packages[1].Longest, r.Pass, r.Join, r.Bare = 1000, 200, 30, true
		res, err := Solve(r)
		if err != nil || res.Recommended == nil {
			t.Fatal(err)
		}
		got := res.Recommended.Shares[1].Weft
		if first == 0 {
			first = got
		}
		if got != first {
			t.Errorf("%d mm from %d mm of thrums, %d mm before", got, held, first)
		}
	}
}
