package stash

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// Readings that are all off by one weight, or by one factor, are asked about as that; those
// that are right, or off each in its own way, are not.
func TestReadingsThatAreAllOffInOneWayAreAskedAbout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grams := rapid.SliceOfNDistinct(rapid.Int64Range(40, 900), 3, 12, rapid.ID).Draw(t, "expected")
		add := rapid.Int64Range(10, 80).Draw(t, "tare")
		read := func(change func(i int, m measure.Mass) measure.Mass) string {
			var all []Counted
			for i, g := range grams {
				m := measure.Mass(g) * measure.Gram
				all = append(all, Counted{m, change(i, m)})
			}
			return AllOff(all, measure.Metric)
		}
		for want, got := range map[string]string{
			"heavier": read(func(_ int, m measure.Mass) measure.Mass { return m + measure.Mass(add)*measure.Gram }),
			"ounce": read(func(_ int, m measure.Mass) measure.Mass {
				return measure.Mass(float64(m) / gramsPerOz)
			}),
			"": read(func(i int, m measure.Mass) measure.Mass { return m + measure.Mass(i%2)*measure.Gram }),
		} {
			if (want == "") != (got == "") || !strings.Contains(got, want) {
				if want == "ounce" && strings.Contains(got, "lighter") {
					continue // alike in weight, they are off by one weight as well
				}
				t.Fatalf("want %q: %q", want, got)
			}
		}
	})
	if AllOff([]Counted{{1, 2}, {1, 2}}, measure.Metric) != "" {
		t.Error("two are too few to ask")
	}
}
