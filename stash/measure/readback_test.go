package measure

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestWhatAScreenShowsIsReadBack: a quantity is read with the spaces that a screen has,
// which do not break (U+00A0, U+202F).
func TestWhatAScreenShowsIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Mass(rapid.Int64Range(1, int64(5*Kilogram)).Draw(t, "mass"))
		l := Length(rapid.Int64Range(1, 5_000_000).Draw(t, "length"))
		sys := rapid.SampledFrom([]System{Metric, Imperial}).Draw(t, "system")
		space := rapid.SampledFrom([]string{"\u00a0", "\u202f", " "}).Draw(t, "space")
		for _, text := range []string{m.Format(sys), m.Whole(sys)} {
			plain, errPlain := ParseMass(text)
			got, err := ParseMass(strings.ReplaceAll(text, " ", space))
			if err != nil || errPlain != nil || got != plain {
				t.Errorf("%q: %v, %v; %v, %v", text, got, err, plain, errPlain)
			}
		}
		for _, text := range []string{l.Cloth(sys), l.Planned(sys), l.Yarn(sys)} {
			plain, errPlain := ParseLength(text)
			got, err := ParseLength(strings.ReplaceAll(text, " ", space))
			if err != nil || errPlain != nil || got != plain {
				t.Errorf("%q: %v, %v; %v, %v", text, got, err, plain, errPlain)
			}
		}
	})
}

func TestAnUncertaintyHasTwoFiguresAndIsNeverNone(t *testing.T) {
	for share, want := range map[float64]string{0: "± under 0.1%", 0.0004: "± under 0.1%",
		0.018: "± 1.8%", 0.0994: "± 9.9%", 0.0996: "± 10%", 0.126: "± 13%"} {
		if got := PlusMinus(share); got != want {
			t.Errorf("%g: %q, want %q", share, got, want)
		}
	}
	for share, want := range map[float64]string{0: "0%", 0.0004: "under 0.1%", 0.05: "5%",
		0.0825: "8.2%", 1: "100%", -0.042: "-4.2%"} {
		if got := InPercent(share); got != want {
			t.Errorf("%g: %q, want %q", share, got, want)
		}
	}
}
