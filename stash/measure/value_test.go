package measure_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

func TestFormatForPeople(t *testing.T) {
	for want, got := range map[string]string{
		"850 mg":       measure.Mass(850).Format(measure.Metric),
		"98.9 g":       measure.Mass(98_900).Format(measure.Metric),
		"412.3 g":      measure.Mass(412_300).Format(measure.Metric),
		"534 g":        measure.Mass(533_631).Format(measure.Metric),
		"387 g":        measure.Mass(387_200).Whole(measure.Metric),
		"13.7 oz":      measure.Mass(387_200).Whole(measure.Imperial),
		"27.5 cm":      measure.Length(275).Planned(measure.Metric),
		"166 cm":       measure.Length(1663).Planned(measure.Metric),
		"166.3 cm":     measure.Length(1663).Cloth(measure.Metric),
		"10 7/8 in":    measure.Length(276).Planned(measure.Imperial),
		"3/4 in":       measure.Length(19).Cloth(measure.Imperial),
		"-1 1/2 in":    measure.Length(-38).Cloth(measure.Imperial),
		"104 in":       measure.Length(2650).Planned(measure.Imperial),
		"412 g":        measure.Mass(412_000).Format(measure.Metric),
		"1250 g":       measure.Mass(1_250_000).Format(measure.Metric),
		"12.35 kg":     measure.Mass(12_350_000).Format(measure.Metric),
		"-3 g":         measure.Mass(-3000).Format(measure.Metric),
		"0 g":          measure.Mass(0).Format(measure.Metric),
		"0 oz":         measure.Mass(0).Format(measure.Imperial),
		"0.35 oz":      measure.Mass(10_000).Format(measure.Imperial),
		"14.5 oz":      measure.Mass(412_000).Format(measure.Imperial),
		"1 lb 3.0 oz":  measure.Mass(538_641).Format(measure.Imperial),
		"1 lb 0.0 oz":  measure.Mass(453_500).Format(measure.Imperial),
		"-1 lb 3.0 oz": measure.Mass(-538_641).Format(measure.Imperial),
		"160 cm":       measure.Length(1600).Cloth(measure.Metric),
		"63 in":        measure.Length(1600).Cloth(measure.Imperial),
		"2621 m":       measure.Length(2_621_324).Yarn(measure.Metric),
		"70.4 m":       measure.Length(70_400).Yarn(measure.Metric),
		"4.58 m":       measure.Length(4_580).Yarn(measure.Metric),
		"2867 yd":      measure.Length(2_621_324).Yarn(measure.Imperial),
		"-4.58 m":      measure.Length(-4_580).Yarn(measure.Metric),
		"8/cm":         measure.Sett(800_000).Format(measure.Metric),
		"20/in":        measure.Sett(787_402).Format(measure.Imperial),
		"7.5/cm":       measure.Sett(750_000).Format(measure.Metric),
		"100/in":       measure.Sett(3_937_008).Format(measure.Imperial),
		"10/cm":        measure.Sett(1_000_000).Format(measure.Metric),
		"12%":          measure.Ratio(120_000).String(), "4.5%": measure.Ratio(45_000).String(),
		"-4.5%": measure.Ratio(-45_000).String(), "0%": measure.Ratio(0).String(),
		"412.5 g": measure.Mass(412_500).String(), "0.125 g": measure.Mass(125).String(),
		"1.778 m": measure.Length(1778).String(), "7.87402/cm": measure.Sett(787_402).String(),
		"147.635 tex":             measure.Count(147_635).String(),
		"6773 m/kg":               measure.Count(147_635).Format(measure.Metric),
		"3360 yd/lb":              measure.Count(147_635).Format(measure.Imperial),
		"count not recorded":      measure.Count(0).Format(measure.Metric),
		"-9223372036854775.808 g": measure.Mass(math.MinInt64).String(),
	} {
		if got != want {
			t.Errorf("reads %q, want %q", got, want)
		}
	}
}

func TestExactTextRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := measure.Mass(rapid.Int64Range(0, 1e9).Draw(t, "mg"))
		if got, err := measure.ParseMass(m.Exact()); err != nil || got != m {
			t.Fatalf("%s reads %d, %v", m, got, err)
		}
		l := measure.Length(rapid.Int64Range(0, 1e10).Draw(t, "mm"))
		if got, err := measure.ParseLength(l.Exact()); err != nil || got != l {
			t.Fatalf("%s reads %d, %v", l, got, err)
		}
		s := measure.Sett(rapid.Int64Range(1, 1e8).Draw(t, "sett"))
		if got, err := measure.ParseSett(s.String()); err != nil || got != s {
			t.Fatalf("%s reads %d, %v", s, got, err)
		}
		r := measure.Ratio(rapid.Int64Range(0, 1e7).Draw(t, "ppm"))
		if got, err := measure.ParseRatio(r.String()); err != nil || got != r {
			t.Fatalf("%s reads %d, %v", r, got, err)
		}
		c := measure.Count(rapid.Int64Range(100, 1e8).Draw(t, "mtex"))
		if got, err := measure.ParseCount(c.String()); err != nil || got.Count != c {
			t.Fatalf("%s reads %v, %v", c, got, err)
		}
	})
}

// exactly is a·b/c by big rationals, rounded half to even another way: by
// adding a half and stepping back from an odd tie.
func exactly(a, b, c int64) (int64, bool) {
	x := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(a), big.NewInt(b)), big.NewInt(c))
	y := new(big.Rat).Add(x, big.NewRat(1, 2))
	n := new(big.Int).Div(y.Num(), y.Denom()) // floor, since the denominator is positive
	if y.IsInt() && n.Bit(0) == 1 {
		n.Sub(n, big.NewInt(1))
	}
	return n.Int64(), n.IsInt64()
}

func TestConversionsAreExactAndNeverOverflow(t *testing.T) {
	anything := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1e10, 1e10), rapid.Int64Range(-50, 50))
	rapid.Check(t, func(t *rapid.T) {
		n, c := anything.Draw(t, "n"), rapid.OneOf(rapid.Int64Range(1, math.MaxInt64),
			rapid.Int64Range(1, 1e7)).Draw(t, "c")
		want, fits := exactly(n, 1_000_000, c)
		if got, ok := measure.LengthOf(measure.Mass(n), measure.Count(c)); ok != (fits &&
			want != math.MinInt64) || ok && int64(got) != want {
			t.Fatalf("LengthOf(%d, %d) = %d, %v, want %d, %v", n, c, got, ok, want, fits)
		}
		want, fits = exactly(n, c, 1_000_000)
		if got, ok := measure.MassOf(measure.Length(n), measure.Count(c)); ok != (fits &&
			want != math.MinInt64) || ok && int64(got) != want {
			t.Fatalf("MassOf(%d, %d) = %d, %v, want %d, %v", n, c, got, ok, want, fits)
		}
	})
}

func TestAnUnknownCountGivesNoLength(t *testing.T) {
	for _, c := range []measure.Count{0, -1} {
		if l, ok := measure.LengthOf(1000, c); ok || l != 0 {
			t.Errorf("count %d gives %v, %v", c, l, ok)
		}
		if m, ok := measure.MassOf(1000, c); ok || m != 0 {
			t.Errorf("count %d gives %v, %v", c, m, ok)
		}
		if low, mid, high := measure.LengthRange(1000, c, 1, 0.1); low != 0 || mid != 0 ||
			high != 0 {
			t.Errorf("count %d gives a range", c)
		}
		if _, ok := measure.LengthEstimate(1000, c, 1, 0.1); ok {
			t.Errorf("count %d gives an estimate", c)
		}
	}
}

func TestRatioOf(t *testing.T) {
	for in, want := range map[float64]measure.Ratio{
		0.12: 120_000, 0.0000005: 0, 0.0000015: 2, -0.5: -500_000, math.Inf(1): math.MaxInt64,
		math.Inf(-1): math.MinInt64, 1e300: math.MaxInt64,
	} {
		if got := measure.RatioOf(in); got != want {
			t.Errorf("%v is %d, want %d", in, got, want)
		}
	}
	if got := measure.RatioOf(math.NaN()); got != 0 {
		t.Errorf("NaN is %d", got)
	}
	if got := measure.Ratio(120_000).Float(); got != 0.12 {
		t.Errorf("12%% is %v", got)
	}
	if got := measure.Sett(800_000).PerMM(); got != 0.8 {
		t.Errorf("8/cm is %v per mm", got)
	}
}

// JCGM 100:2008 F.2.2.1: 0.29 of the step; 0.408 248… g for two readings with
// steps of 1 g, computed.
func TestResolutionUncertainty(t *testing.T) {
	one := measure.ResolutionU(measure.Gram)
	if math.Abs(one-288.6751345948129) > 1e-9 {
		t.Errorf("a step of 1 g gives %v mg", one)
	}
	if two := measure.Combine(one, one); math.Abs(two-408.2482904638631) > 1e-9 {
		t.Errorf("two readings give %v mg", two)
	}
	if none := measure.Combine(); none != 0 {
		t.Errorf("nothing combined gives %v", none)
	}
}

// Worked example, computed: gross 68 g, empty cone 25 g, 250 tex, steps of
// 1 g: 172 m, u = 1.63 m, 0.95 %.
func TestLengthRangeOfTheWorkedExample(t *testing.T) {
	u := measure.Combine(measure.ResolutionU(measure.Gram), measure.ResolutionU(measure.Gram))
	low, mid, high := measure.LengthRange(43*measure.Gram, 250*measure.Tex, u, 0)
	if low != 170_367 || mid != 172_000 || high != 173_633 {
		t.Errorf("gives %d %d %d mm, want 172 000 less and more 1633", low, mid, high)
	}
	e, _ := measure.LengthEstimate(43*measure.Gram, 250*measure.Tex, u, 0)
	if math.Abs(e.U/e.Middle-0.0095) > 0.0001 || math.Abs(e.High(2)-e.Low(2)-4*e.U) > 1e-6 {
		t.Errorf("relative %v, k = 2 from %v to %v", e.U/e.Middle, e.Low(2), e.High(2))
	}
}

func TestLengthRangeStaysInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		net := measure.Mass(rapid.Int64Range(-1e9, 1e9).Draw(t, "net"))
		c := measure.Count(rapid.Int64Range(1, 1e8).Draw(t, "count"))
		low, mid, high := measure.LengthRange(net, c, rapid.Float64Range(0, 1e9).Draw(t, "u"),
			rapid.Float64Range(0, 5).Draw(t, "rel"))
		if low > mid || mid > high || net >= 0 && low < 0 {
			t.Fatalf("%d %d %d", low, mid, high)
		}
	})
	if low, mid, high := measure.LengthRange(1000, 1000, math.Inf(1), 0); low != 0 ||
		mid != 1_000_000 || high != math.MaxInt64 {
		t.Errorf("without any knowledge of the mass: %d %d %d", low, mid, high)
	}
}
