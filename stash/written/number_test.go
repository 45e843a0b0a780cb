package written

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNumberReads(t *testing.T) {
	cases := []struct {
		text  string
		style Style
		want  Number
	}{
		{"412", StyleUnknown, Number{Decimal: "412", Times: 1}},
		{"98.9", StyleUnknown, Number{Decimal: "98.9", Times: 1}},
		{"0.181", StyleUnknown, Number{Decimal: "0.181", Times: 1}},
		{" 007 ", StyleUnknown, Number{Decimal: "7", Times: 1}},
		{"3.50", StylePoint, Number{Decimal: "3.5", Times: 1}},
		{"1,234", StylePoint, Number{Decimal: "1234", Times: 1}},
		{"1,234", StyleComma, Number{Decimal: "1.234", Times: 1}},
		{"1.234", StyleComma, Number{Decimal: "1234", Times: 1}},
		{"1.234,5", StyleUnknown, Number{Decimal: "1234.5", Times: 1}},
		{"1,234.5", StyleUnknown, Number{Decimal: "1234.5", Times: 1}},
		{"1.234.567", StyleUnknown, Number{Decimal: "1234567", Times: 1}},
		{"1 234,5 m", StyleUnknown, Number{Decimal: "1234.5", Unit: "m", Times: 1}},
		{"1\u00a0234", StyleUnknown, Number{Decimal: "1234", Times: 1}},
		{"1'234.50", StyleUnknown, Number{Decimal: "1234.5", Times: 1}},
		{"3,5", StyleUnknown, Number{Decimal: "3.5", Times: 1}},
		{"1/2", StyleUnknown, Number{Decimal: "0.5", Times: 1}},
		{"1 1/2 lb", StyleUnknown, Number{Decimal: "1.5", Unit: "lb", Times: 1}},
		{"½ skein", StyleUnknown, Number{Decimal: "0.5", Unit: "skein", Times: 1}},
		{"1½", StyleUnknown, Number{Decimal: "1.5", Times: 1}},
		{"3⁄4 oz", StyleUnknown, Number{Decimal: "0.75", Unit: "oz", Times: 1}},
		{"approx 200", StyleUnknown, Number{Decimal: "200", Times: 1, Approx: true}},
		{"ca. 200 g", StyleUnknown, Number{Decimal: "200", Unit: "g", Times: 1, Approx: true}},
		{"~200g", StyleUnknown, Number{Decimal: "200", Unit: "g", Times: 1, Approx: true}},
		{"200?", StyleUnknown, Number{Decimal: "200", Times: 1, Approx: true}},
		{"2x100g", StyleUnknown, Number{Decimal: "100", Unit: "g", Times: 2}},
		{"2 × 100 g", StyleUnknown, Number{Decimal: "100", Unit: "g", Times: 2}},
		{"100 g x 2", StyleUnknown, Number{Decimal: "100", Unit: "g", Times: 2}},
		{"100g ×2", StyleUnknown, Number{Decimal: "100", Unit: "g", Times: 2}},
		{"200 g (washed)", StyleUnknown, Number{Decimal: "200", Unit: "g", Times: 1,
			Note: "washed"}},
	}
	for _, c := range cases {
		t.Run(c.text+" "+c.style.String(), func(t *testing.T) {
			got, err := ParseNumber(c.text, c.style)
			if err != nil || got != c.want {
				t.Errorf("got %+v, %v; want %+v", got, err, c.want)
			}
		})
	}
}

func TestParseNumberRefuses(t *testing.T) {
	cases := []struct {
		text  string
		style Style
		why   string
	}{
		{"1,234", StyleUnknown, "two ways"},
		{"1.234", StyleUnknown, "two ways"},
		{"3,5", StylePoint, "another decimal sign"},
		{"3.5", StyleComma, "another decimal sign"},
		{"2-Aug", StyleUnknown, "a date"},
		{"Aug-02", StyleUnknown, "a date"},
		{"02/08/2024", StyleUnknown, "a date"},
		{"2024-08-02", StyleUnknown, "a date"},
		{"2024-08-02 00:00:00", StyleUnknown, "a date"},
		{"02.08.2024", StyleUnknown, "a date"},
		{"100-120", StyleUnknown, "a range"},
		{"100 – 120 g", StyleUnknown, "a range"},
		{"-5", StyleUnknown, "negative"},
		{"1.2E+05", StyleUnknown, "shortened"},
		{"1e3", StyleUnknown, "shortened"},
		{"=2*3", StyleUnknown, "a formula"},
		{"2 x 3 x 4", StyleUnknown, "more than one number"},
		{"12 34", StyleUnknown, "more than one number"},
		{"lots", StyleUnknown, "has no number"},
		{"", StyleUnknown, "has no number"},
		{"1,23,4", StyleUnknown, "grouped by three"},
		{"1/0", StyleUnknown, "not a number"},
		{"99999999999999999999", StyleUnknown, "size"},
		{"1.2.3.4/5", StyleUnknown, ""},
		{strings.Repeat("9", 500), StyleUnknown, "too long"},
	}
	for _, c := range cases {
		t.Run(c.text, func(t *testing.T) {
			n, err := ParseNumber(c.text, c.style)
			var e *Error
			if !errors.As(err, &e) || !strings.Contains(e.Reason, c.why) || e.Hint == "" {
				t.Errorf("got %+v, %v; want a refusal with %q and a hint", n, err, c.why)
			}
		})
	}
}

func TestStylesAgreeOrAreUnknown(t *testing.T) {
	for _, c := range []struct {
		cells []string
		want  Style
	}{
		{[]string{"412", "1,234", "3.5"}, StylePoint},
		{[]string{"412", "1.234", "3,5"}, StyleComma},
		{[]string{"1,234", "2,345"}, StyleUnknown},
		{[]string{"3.5", "3,5"}, StyleUnknown},
		{[]string{"0,181"}, StyleComma},
	} {
		var s Styles
		for _, cell := range c.cells {
			s.Add(cell)
		}
		if got := s.Style(); got != c.want {
			t.Errorf("%q: got %v, want %v", c.cells, got, c.want)
		}
	}
}

// A number written in either style, with or without groups, reads back as itself.
func TestNumbersRoundTripInBothStyles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, 999_999_999).Draw(t, "thousandths")
		want := trimDecimal(fmt.Sprintf("%d.%03d", n/1000, n%1000))
		whole := fmt.Sprint(n / 1000)
		for style, signs := range map[Style][2]string{StylePoint: {",", "."},
			StyleComma: {".", ","}} {
			grouped := whole
			if len(whole) > 3 && rapid.Bool().Draw(t, "grouped") {
				grouped = whole[:len(whole)-3] + signs[0] + whole[len(whole)-3:]
			}
			text := fmt.Sprintf("%s%s%03d", grouped, signs[1], n%1000)
			got, err := ParseNumber(text, style)
			if err != nil || got.Decimal != want {
				t.Fatalf("%q as %v: got %q, %v; want %q", text, style, got.Decimal, err, want)
			}
		}
	})
}

func FuzzParseNumber(f *testing.F) {
	seeds := []string{"1/2", "½ skein", "approx 200", "2x100g", "1.234,5", "1,234", "2-Aug", "1E+5",
		"-3", "1 234 567,8 m (x)", "\xff½", "İ?"}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s, byte(StyleUnknown))
		f.Add(s, byte(StyleComma))
	}
	f.Fuzz(func(t *testing.T, text string, style byte) {
		n, err := ParseNumber(text, Style(style%3))
		if err != nil {
			if AsError(err).Hint == "" {
				t.Errorf("%q: no hint with %v", text, err)
			}
			return
		}
		again, err := ParseNumber(n.Decimal, StylePoint)
		if err != nil || again.Decimal != n.Decimal || n.Times < 1 {
			t.Errorf("%q read as %+v, which reads as %+v, %v", text, n, again, err)
		}
	})
}
