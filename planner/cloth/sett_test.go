package cloth

import (
	"errors"
	"math"
	"testing"

	"endsmeet/stash/measure"

	"pgregory.net/rapid"
)

// cotton is a resultant English cotton count in millitex.
func cotton(n float64) measure.Count { return measure.Count(math.Round(texPerCotton / n * 1000)) }

// perInch is a sett to the nearest thread per 1000 m.
func perInch(v float64) measure.Sett { return settOf(v / inch) }

// inches is a sett in threads per inch.
func inches(s measure.Sett) float64 { return s.PerMM() * inch }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v within %v", what, got, want, tol)
	}
}

// refuses fails unless err names the field and has a hint.
func refuses(t *testing.T, field string, err error) {
	t.Helper()
	var bad InputError
	if !errors.As(err, &bad) || bad.Field != field || bad.Hint == "" || bad.Error() == "" {
		t.Errorf("got %v, want a refusal of %s with a hint", err, field)
	}
}

// taylor is his rule: the root of the yards in a pound, less five per cent.
var taylor = Factor{"cotton", 0.95, "Taylor"}

// Taylor, Cotton Weaving and Designing, 6th ed., reader p. 453: diameters per
// inch of cotton as printed, to half a thread and at 200's to one.
func TestTaylorsDiameters(t *testing.T) {
	for n, row := range map[float64]struct{ printed, exact float64 }{
		15: {106.5, 106.637}, 26: {140.5, 140.394}, 32: {156, 155.754},
		60: {213, 213.274}, 78: {243, 243.170}, 200: {390, 389.384},
	} {
		got, err := taylor.diametersPerInch(cotton(n))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "exact", got, row.exact, 0.02) // the count is rounded to 1 mg/km
		near(t, "printed", got, row.printed, 0.65)
	}
}

// Ashenhurst as quoted by a textile notes page: 40's cotton is 1/165 in; 50's
// 184 and 35's 154.34 follow from 165 by the root of the counts.
func TestAshenhurstsDiameters(t *testing.T) {
	for n, want := range map[float64]float64{40: 165, 50: 184.476, 35: 154.343} {
		got, err := Worsted.diametersPerInch(cotton(n))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "diameters", got, want, 0.05)
	}
	d, err := Worsted.diameter(cotton(40))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "diameter, mm", d, 25.4/165, 0.0001)
}

// Taylor: a yarn four times as heavy has twice the diameter.
func TestFourTimesAsHeavyIsTwiceAsThick(t *testing.T) {
	for _, f := range []Factor{taylor, Smooth, Worsted, Woollen} {
		thin, _ := f.diameter(100_000)
		thick, err := f.diameter(400_000)
		if err != nil || f.Source == "" {
			t.Fatalf("%v, source %q", err, f.Source)
		}
		near(t, f.Name, thick, 2*thin, 1e-12)
	}
}

// A period-textile page: 8/2 cotton (3360 yd/lb), k 0.90: 52 diameters, plain
// 26, 2/2 twill 34 (truncated from 34.78).
func TestClosestSettOfEightTwoCotton(t *testing.T) {
	d, _ := Worsted.diametersPerInch(cotton(4))
	near(t, "diameters (printed 52)", d, 52.1690, 0.001)
	for _, row := range []struct {
		w     Weave
		exact float64
	}{{Plain, 26.0845}, {twill22, 34.7793}, {twill13, 34.7793}, {basket22, 34.7793},
		{satin5, 52.1690 * 5 / 7}, {twill21, 52.1690 * 3 / 5}, {satin8, 52.1690 * 8 / 10}} {
		got, err := closestSett(cotton(4), Worsted, row.w)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.w.Name, inches(got.Sett), row.exact, 0.001)
	}
}

// A blog prints 184 as the plain sett of 50's, which is the number of
// diameters; half of it is right, and its 2/2 twill of 122 (184 x 4/6) too.
func TestPrintedWrongPlainSettOfFifties(t *testing.T) {
	plain, _ := closestSett(cotton(50), Worsted, Plain)
	twill, _ := closestSett(cotton(50), Worsted, twill22)
	near(t, "plain", inches(plain.Sett), 92.24, 0.05)
	near(t, "twill", inches(twill.Sett), 122.97, 0.05)
	if inches(plain.Sett) > 100 {
		t.Error("a plain weave cannot be set at the number of diameters")
	}
}

// "About 3/4 of this or slightly more" (the same page) and 80 % of the closest
// sett for ordinary cloth, 90 % upholstery, 50 to 60 % delicate (a weaving
// teacher's page).
func TestWorkingSetts(t *testing.T) {
	for use, want := range map[Working]float64{{"three quarters", 0.75}: 19.563, Ordinary: 20.868,
		upholstery: 23.476, delicate: 14.346} {
		got, err := WorkingSett(cotton(4), Worsted, Plain, use)
		if err != nil {
			t.Fatal(err)
		}
		near(t, use.Name, inches(got.Sett), want, 0.001)
	}
	got, _ := WorkingSett(cotton(4), Worsted, Plain, Ordinary)
	want := "estimate: Ashenhurst, k 0.90 (worsted and other firm yarn), ends plus intersections for plain weave, 80% for ordinary cloth"
	if got.Basis != want {
		t.Errorf("basis %q, want %q", got.Basis, want)
	}
	if n := len(Workings()); n != 3 {
		t.Errorf("%d workings", n)
	}
}

// Taylor, reader p. 464: plain at 103 is as firm as 2/2 twill at 137 1/3; that
// at 137 as a 5/2/1/2 twill at 146.786 (his inputs, computed).
func TestSameFirmness(t *testing.T) {
	near(t, "2/2 twill", 103*twill22.firmness()/Plain.firmness(), 137+1./3, 0.001)
	near(t, "5/2/1/2 twill", 137*fancyTwill.firmness()/twill22.firmness(), 146.786, 0.001)
}

// Taylor, reader p. 427-428: intersections of plain weave 1 a pick, 2/2 twill
// half the picks, 5-end satin two fifths.
func TestIntersections(t *testing.T) {
	for name, want := range map[string]float64{"plain": 1, "2/2 twill": 0.5, "5-end satin": 0.4,
		"3/1": 0.5, "5/2/1/2": 0.4} {
		w, err := ParseWeave(name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, float64(w.intersections())/float64(w.ends()), want, 1e-12)
	}
	for _, text := range []string{"", "2", "2/0", "2/x", "1/2/3", "2/101", "2/-2"} {
		_, err := ParseWeave(text)
		refuses(t, "weave", err)
	}
}

// A weaving teacher mixes yarns that alone are sett 10, 12, 10 and 16 and averages them to
// 12 (the companion page of a teaching book); wrapped on a ruler in turn, as a handbook
// has it, they lie at 4 / (1/10 + 1/12 + 1/10 + 1/16) = 11.57.
func TestThePrintedMixOfFourYarns(t *testing.T) {
	m, err := MixedSett([]Share{{perInch(10), 1}, {perInch(12), 1}, {perInch(10), 1},
		{perInch(16), 1}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "wrapped in proportion", inches(m.Sett), 11.57, 0.005)
	near(t, "the quick figure", inches(m.Mean), 12, 0.001)
	m, _ = MixedSett([]Share{{perInch(8), 1}, {perInch(24), 1}}) // the gap grows with the spread
	near(t, "8 and 24, wrapped", inches(m.Sett), 12, 0.001)
	near(t, "8 and 24, averaged", inches(m.Mean), 16, 0.001)
}

func TestMixedSett(t *testing.T) {
	m, err := MixedSett([]Share{{perInch(10), 50}, {perInch(20), 50}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "evenly mixed, averaged", inches(m.Mean), 15, 0.001)
	near(t, "evenly mixed, by room", inches(m.Sett), 40./3, 0.001)
	if m.Unlike {
		t.Error("twice as close is not yet unlike")
	}
	if m, _ = MixedSett([]Share{{perInch(8), 10}, {perInch(20), 50}}); !m.Unlike {
		t.Error("8 and 20 are unlike")
	}
	_, err = MixedSett(nil)
	refuses(t, "shares", err)
	_, err = MixedSett([]Share{{0, 4}})
	refuses(t, "shares", err)
}

// Closer by average than by room, never outside the setts that are mixed.
func TestMixedSettLiesBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := measure.Sett(rapid.IntRange(100_000, 5_000_000).Draw(t, "a"))
		b := measure.Sett(rapid.IntRange(100_000, 5_000_000).Draw(t, "b"))
		m, err := MixedSett([]Share{{a, rapid.IntRange(1, 500).Draw(t, "n")},
			{b, rapid.IntRange(1, 500).Draw(t, "m")}})
		if err != nil || m.Sett > m.Mean || m.Sett < min(a, b)-1 || m.Mean > max(a, b)+1 {
			t.Fatalf("%+v, %v", m, err)
		}
	})
}

func TestEstimatesRefuseWhatIsNotKnown(t *testing.T) {
	errs := map[string][]error{}
	note := func(field string, err error) { errs[field] = append(errs[field], err) }
	_, err := Smooth.diameter(0)
	note("count", err)
	_, err = closestSett(0, Smooth, Plain)
	note("count", err)
	_, err = WorkingSett(0, Smooth, Plain, Ordinary)
	note("count", err)
	for field, all := range errs {
		for _, err := range all {
			refuses(t, field, err)
		}
	}
}
