package measure_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// Two lengths of 3 m that weigh 1.05 and 1.07 g are 6 m of 2.12 g: 353.333 tex.
func TestSeveralSamplesAreTheirMean(t *testing.T) {
	for text, want := range map[string]measure.Count{
		"3.00 m = 1.05 g, 3.00 m = 1.07 g":                 353_333,
		"3,00 m = 1,05 g; 3,00 m = 1,07 g":                 353_333,
		"samples: 3 m: 1.05 g and 3 m: 1.07 g":             353_333,
		"1.05 g for 3 m, 1.07 g for 3 m":                   353_333,
		"2 m 0.62 g, 4 m 1.24 g":                           310_000,
		"weighed samples 10 m = 4.9 g, 10 m = 5.1 g":       500_000,
		"3 yd = 1 g, 2 yd = 0.66 g, 1 yd weighs 0.3400 g.": 0,
	} {
		r, err := measure.ParseCount(text)
		if want == 0 {
			if err == nil {
				t.Errorf("%q was read as %v", text, r)
			}
			continue
		}
		if err != nil || r.Count != want || r.Source != measure.WeighedSample || r.Samples < 2 {
			t.Errorf("%q: %+v, %v, want %d", text, r, err, want)
		}
	}
}

func TestOneSampleNeedsNoSign(t *testing.T) {
	for _, text := range []string{"sample 2.00 m 0.31 g", "2.00 m 0.31 g", "2.00 m = 0.31 g",
		"0.31 g for 2.00 m", "2.00 m weighs 0.31 g", "sample: 2 m: 0.31 g"} {
		r, err := measure.ParseCount(text)
		if err != nil || r.Count != 155_000 || r.Source != measure.WeighedSample || r.Samples != 0 {
			t.Errorf("%q: %+v, %v", text, r, err)
		}
	}
}

// The mean lies among the samples, more of them that agree make it surer, those that
// differ less sure, and nothing makes it surer than what all of them share.
func TestTheMeanOfSamplesLiesAmongThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cg := rapid.SliceOfN(rapid.Int64Range(90, 180), 2, 5).Draw(t, "cg of 3 m")
		var parts []string
		least, most := int64(math.MaxInt64), int64(0)
		for _, m := range cg {
			parts = append(parts, fmt.Sprintf("3 m = %d.%02d g", m/100, m%100))
			least, most = min(least, 10*m), max(most, 10*m)
		}
		r, err := measure.ParseCount(strings.Join(parts, ", "))
		if err != nil || r.Samples != len(cg) || int64(r.Count)*3/1000 < least-1 ||
			int64(r.Count)*3/1000 > most+1 {
			t.Fatalf("%v: %+v, %v", parts, r, err)
		}
		more, err := measure.ParseCount(strings.Join(append(parts, parts...), ", "))
		if err != nil || more.Count != r.Count || more.Doubt > r.Doubt ||
			r.Doubt < measure.Percent {
			t.Fatalf("%v: %+v, twice %+v, %v", parts, r, more, err)
		}
	})
}

// A scale that reads to 0.1 g leaves 0.029 g of doubt (JCGM 100:2008, F.2.2.1) however
// often it shows the same.
func TestTheScaleLeavesItsDoubtInTheMean(t *testing.T) {
	r, err := measure.ParseCount(strings.Repeat("1 m = 0.3 g, ", 7) + "1 m = 0.3 g")
	if err != nil || r.Doubt.Float() < 0.0289/0.3 || r.Doubt.Float() > 0.11 {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestABadSampleIsNamed(t *testing.T) {
	for text, want := range map[string]string{
		"3 m = 1.05 g, 3 m = 10.7 g": "10.2 times as heavy",
		"3 m = 1.05 g, 3 x":          "is no length with its weight",
		"3 m = 1.05 g, 3 m = 0 g":    "no length or no weight",
		"3 m = 0 g, 3 m = 1.05 g":    "no length or no weight",
	} {
		if _, err := measure.ParseCount(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func TestACountThatSomebodyIsNotSureOfIsAGuess(t *testing.T) {
	for _, text := range []string{"8/2 Ne?", "8/2 Ne, I think", "maybe 8/2 Ne", "guess 8/2 Ne",
		"8/2 Ne (seller says)"} {
		r, err := measure.ParseCount(text)
		if want, _ := measure.ParseCount("8/2 Ne"); err != nil || r.Count != want.Count ||
			r.Source != measure.Guess {
			t.Errorf("%q: %+v, %v", text, r, err)
		}
	}
}

// 1 m of 0.101 g is 101 tex, 9901 m/kg: what was weighed is the count, and a number without
// a base is on the one that agrees.
func TestASampleCorrectsTheCountBesideIt(t *testing.T) {
	for text, plies := range map[string]int{
		"20/2, 1 m = 0.101 g": 2, "20/2 Nm, 1 m = 0.101 g": 2, "1 m = 0.101 g, 20/2 Nm": 2,
		"20/2 Nm; sample 1 m = 0.101 g": 2, "Nm 20/2 and 1 m = 0.101 g": 2,
		"20/2 Nm (1 m = 0.101 g)": 2, "label 500 m / 50 g, 1 m = 0.101 g": 0,
		"500 m / 50 g, sample: 1 m 0.101 g": 0, "20/2, 1 m = 0.100 g, 1 m = 0.102 g": 2,
	} {
		r, err := measure.ParseCount(text)
		if err != nil || r.Count != 101_000 || r.Plies != plies || r.Source != measure.WeighedSample ||
			r.Written != text {
			t.Errorf("%q: %+v, %v", text, r, err)
		}
		if again, err := measure.ParseCount(r.Written); err != nil || again != r {
			t.Errorf("%q read again: %+v, %v", text, again, err)
		}
	}
	for _, text := range []string{"20/2 Ne, 1 m = 0.101 g", "8/2, 1 m = 0.9 g",
		"label 100 m / 50 g, 1 m = 0.101 g"} {
		if r, err := measure.ParseCount(text); err == nil || !strings.Contains(err.Error(), "the sample gives") {
			t.Errorf("%q: %+v, %v", text, r, err)
		}
	}
}
