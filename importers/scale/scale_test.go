package scale

import (
	"testing"

	"endsmeet/stash/measure"
)

// The lines are those of published operating instructions; the ways in which
// they may be spoilt are ours.
func TestOnlySteadyWeightsWithAUnitAreTaken(t *testing.T) {
	for line, want := range map[string]Weight{
		"S S      100.00 g\r\n": {Mass: 100_000, Step: 10, Marked: true},
		"S S    -0.5 g":         {},
		"S D      100.00 g":     {},
		"S I":                   {},
		"S +":                   {},
		"S -":                   {},
		"S S      100.00":       {},
		"S S      100.00 tl":    {},
		"ES":                    {},
		"ST,+00123.45  g\r\n":   {Mass: 123_450, Step: 10, Marked: true},
		"US,+00123.45  g":       {},
		"OL,+9999999.9":         {},
		"OL":                    {},
		"QT,+00000012 pcs":      {},
		"ST,+00123.45":          {},
		"ST,GS,+  12.34kg":      {Mass: 12_340_000, Step: 10_000, Marked: true},
		"ST,NT,+  12.34kg":      {Mass: 12_340_000, Step: 10_000, Marked: true, Net: true},
		"US,NT,+  12.34kg":      {},
		"    12.73 g ?":         {},
		"    12.73 g":           {Mass: 12_730, Step: 10},
		"    12.73 g   NET":     {Mass: 12_730, Step: 10, Net: true},
		"    12.73":             {},
		"   -1 g":               {},
		"     1.250 kg":         {Mass: 1_250_000, Step: 1_000},
		"ST,GS,+  1.250kg":      {Mass: 1_250_000, Step: 1_000, Marked: true},
		"     3 oz":             {Mass: 85_049, Step: 28_350},
		"+007.12/3 G S":         {},
		"^^^^^^^^^":             {},
		"":                      {},
	} {
		got, err := parseLine(line)
		if (err == nil) != (want != Weight{}) {
			t.Errorf("%q: %+v, %v", line, got, err)
			continue
		}
		if got.Raw, want.Raw = "", ""; err == nil && got != want {
			t.Errorf("%q: %+v, want %+v", line, got, want)
		}
	}
}

func TestTheLineIsKept(t *testing.T) {
	if w, err := parseLine("ST,+00123.45  g\r\n"); err != nil || w.Raw != "ST,+00123.45  g" {
		t.Errorf("%+v %v", w, err)
	}
}

func TestLinesWithoutAMarkMustAgreeThreeTimesRunning(t *testing.T) {
	var w Watch
	for i, line := range []string{"12.73 g", "12.73 g", "12.74 g", "12.74 g", "12.74 g ?",
		"12.74 g", "12.74 g"} {
		if got, err := w.Add(line); err == nil {
			t.Fatalf("line %d is taken: %+v", i, got)
		}
	}
	if got, err := w.Add("12.74 g"); err != nil || got.Mass != 12_740*measure.Milligram {
		t.Errorf("%+v %v", got, err)
	}
}

func FuzzParse(f *testing.F) {
	for _, line := range []string{"S S      100.00 g", "ST,GS,+  12.34kg", "    12.73 g ?", "OL"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		if w, err := parseLine(line); err == nil && (w.Mass < 0 || w.Step <= 0) {
			t.Errorf("%q gives %+v", line, w)
		}
	})
}
