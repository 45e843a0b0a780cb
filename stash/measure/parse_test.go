package measure_test

import (
	"errors"
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

func TestParseMassReads(t *testing.T) {
	for in, want := range map[string]measure.Mass{
		"412g": 412_000, "1.2kg": 1_200_000, "1,5 kg": 1_500_000, "14oz": 396_893,
		"1lb 3oz": 538_641, "3/4lb": 340_194,
		"½ oz": 14_175, "1 3/4 lb": 793_787, "1¾ lb": 793_787, "1-3/4 lb": 793_787, ".5 g": 500,
		"850 mg": 850, "  412 G ": 412_000, "0g": 0,
		"2 621 g": 2_621_000, "1 kg 200 g": 1_200_000, "0.0015g": 2, "0.0025g": 2,
		"1000 kg": 1_000_000_000, "0,125 kg": 125_000,
	} {
		if got, err := measure.ParseMass(in); err != nil || got != want {
			t.Errorf("%q is %d, %v, want %d", in, got, err, want)
		}
	}
}

func TestParseLengthReads(t *testing.T) {
	for in, want := range map[string]measure.Length{
		"3.2m": 3200, "70in": 1778, "2yd 1in": 1854, `1'6"`: 457, "48 cm": 480, "120mm": 120,
		"5′ 3½″": 1613, "2 feet 3 inches": 686,
		"1 km": 1_000_000, "10000 km": 10_000_000_000, `12''`: 305, "0 m": 0,
	} {
		if got, err := measure.ParseLength(in); err != nil || got != want {
			t.Errorf("%q is %d, %v, want %d", in, got, err, want)
		}
	}
}

func TestParseSettReads(t *testing.T) {
	for in, want := range map[string]measure.Sett{
		"8/cm": 800_000, "20epi": 787_402, "20/in": 787_402, "20 ppi": 787_402,
		"8 ends/cm": 800_000, "8 picks/cm": 800_000, "80/10cm": 800_000,
		"8 per cm": 800_000, "7 1/2/cm": 750_000, "15/2 epi": 295_276, "60/dm": 600_000,
		"20 ends per inch": 787_402, `20/"`: 787_402,
		"8 ends per cm": 800_000, "8 epc": 800_000, "7,5/cm": 750_000,
	} {
		if got, err := measure.ParseSett(in); err != nil || got != want {
			t.Errorf("%q is %d, %v, want %d", in, got, err, want)
		}
	}
}

func TestParseRatioReads(t *testing.T) {
	for in, want := range map[string]measure.Ratio{
		"12%": 120_000, "0.12": 120_000, "4,5 %": 45_000, "12 percent": 120_000, "1": 1_000_000,
		"5‰": 5_000, "1/3": 333_333, "0": 0, "150%": 1_500_000,
	} {
		if got, err := measure.ParseRatio(in); err != nil || got != want {
			t.Errorf("%q is %d, %v, want %d", in, got, err, want)
		}
	}
}

// refused is one input that a parser must refuse, and what the message says.
type refused struct{ in, want string }

func refuse(t *testing.T, parse func(string) error, rows []refused) {
	t.Helper()
	for _, row := range rows {
		err := parse(row.in)
		var e *measure.Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q gives %v\nwant %s", row.in, err, row.want)
			continue
		}
		if e.Input != row.in || e.Pos < 0 || e.Pos > len(row.in) {
			t.Errorf("%q: the error is about %q at %d", row.in, e.Input, e.Pos)
		}
	}
}

func TestParseMassRefuses(t *testing.T) {
	refuse(t, func(s string) error { _, err := measure.ParseMass(s); return err }, []refused{
		{"", "is empty"},
		{"1.2q", `"1.2q": unknown unit "q" (a weight is in mg, g, kg, oz or lb)`},
		{"200", `has no unit (write 200g;`},
		{"200cm", "is a length, a weight is wanted"},
		{"8/cm", "is a sett, a weight is wanted"},
		{"12%", "is a ratio, a weight is wanted"},
		{"34 tex", "is a yarn count, a weight is wanted"},
		{"-3g", "is negative"},
		{"−3g", "is negative"},
		{"1lb -3oz", "is negative"},
		{"1000.001 kg", "is more than 1000 kg"},
		{"0.0001 mg", "is less than a milligram"},
		{"0.0005 g", "is less than a milligram"}, // half to even gives nothing
		{"1,200 g", "write 1200, or 1.2000"},
		{"1.20,5 g", "second decimal point"}, {"1.200,5.1 g", "second decimal point"},
		{"1,2,3 g", "second decimal point"},
		{"3oz 1lb", "from large to small"},
		{"1g 1g", "from large to small"},
		{"5 gr", "grams to some and grains to others"},
		{"1/0 lb", "divides by zero"},
		{"1 1/0 lb", "divides by zero"},
		{"9999999999999999999 g", "too many digits"},
		{"1.9999999999999999999 g", "too many digits"},
		{"1/9999999999999999999 g", "too many digits"},
		{"NaN g", "has no number where"},
		{"Inf", "has no number where"},
		{"1.g", `cannot read "." here`},
		{"1e9 kg", `unknown unit "e"`},
		{"5 \x1b[31m", `"5 \x1b[31m"`},
	})
}

func TestParseLengthRefuses(t *testing.T) {
	refuse(t, func(s string) error { _, err := measure.ParseLength(s); return err }, []refused{
		{"200g", "is a weight, a length is wanted"}, {"1'6", `write 1'6";`}, {"70", "has no unit"},
		{"10001 km", "is more than 10 000 km"},
		{"8 m/kg", "is a yarn count, a length is wanted"}, {"0.1 mm", "is less than a millimetre"},
		{"-1m", "is negative"},
	})
}

func TestParseSettRefuses(t *testing.T) {
	refuse(t, func(s string) error { _, err := measure.ParseSett(s); return err }, []refused{
		{"", "is empty"}, {"8", "to the centimetre or to the inch?"},
		{"8 ends", "to the centimetre or to the inch?"}, {"0/cm", "sett of zero"},
		{"8/kg", "is a weight, a sett is wanted"}, {"200g", "is a weight, a sett is wanted"},
		{"-8/cm", "is negative"}, {"20/0cm", "divides by zero"},
		{"1001/cm", "more than 1000/cm"}, {"1/9999999 km", "less than one thread"},
		{"8/foo", `unknown unit "foo"`}, {"x/cm", "has no number where"},
		{"8 9/cm", `cannot read "9" here`}, {"8/1.2.3cm", "second decimal point"},
		{"ends", "has no number where"},
	})
}

func TestParseRatioRefuses(t *testing.T) {
	refuse(t, func(s string) error { _, err := measure.ParseRatio(s); return err }, []refused{
		{"", "is empty"}, {"12", "for per cent write 12%"}, {"-1%", "is negative"},
		{"1001%", "is more than 1000%"}, {"3cm", "is a length, a ratio is wanted"},
		{"12 %%", "cannot read"}, {"0.1 !", "cannot read"}, {"abc", "has no number where"},
	})
}

func TestParseSystem(t *testing.T) {
	for _, want := range []measure.System{measure.Metric, measure.Imperial} {
		var got measure.System
		text, _ := want.MarshalText()
		if err := got.UnmarshalText([]byte(" " + strings.ToUpper(string(text)))); err != nil ||
			got != want {
			t.Errorf("%s reads %v, %v", text, got, err)
		}
	}
	var s measure.System
	if err := s.UnmarshalText([]byte("avoirdupois")); err == nil ||
		!strings.Contains(err.Error(), "write metric or imperial") {
		t.Errorf("a third system gives %v", err)
	}
}

func TestALongInputIsCutShortInTheMessage(t *testing.T) {
	_, err := measure.ParseMass(strings.Repeat("x", 5000))
	if err == nil || len(err.Error()) > 200 {
		t.Errorf("the message is %v", err)
	}
}
