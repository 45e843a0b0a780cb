package measure

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestAColumnAddsUpAsPrinted: the printed parts add up to the rounded sum, and none is a
// whole step off what it stands for.
func TestAColumnAddsUpAsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Int64Range(-2_000_000, 9_000_000), 1, 12).Draw(t, "parts")
		sys := rapid.SampledFrom([]System{Metric, Imperial}).Draw(t, "system")
		masses, lengths := make([]Mass, len(parts)), make([]Length, len(parts))
		var sum float64
		for i, n := range parts {
			masses[i], lengths[i] = Mass(n), Length(n)
			sum += float64(n)
		}
		for _, c := range []struct {
			shown []string
			unit  float64 // how many of the parts one unit is
		}{{Balanced(sys, masses...), map[System]float64{Metric: 1000,
			Imperial: 28_349.523125}[sys]}, {BalancedYarn(sys, lengths...),
			map[System]float64{Metric: 1000, Imperial: 914.4}[sys]}} {
			number, _, _ := strings.Cut(c.shown[0], " ")
			_, decimals, _ := strings.Cut(number, ".")
			step := math.Pow10(-len(decimals))
			printed := 0.0
			for i, text := range c.shown {
				number, _, _ := strings.Cut(text, " ")
				v, err := strconv.ParseFloat(number, 64)
				if err != nil || math.Abs(v-float64(parts[i])/c.unit) >= step*(1+1e-9) {
					t.Fatalf("%d is %q", parts[i], text)
				}
				printed += v
			}
			if math.Abs(printed-sum/c.unit) > step*(0.5+1e-6) {
				t.Fatalf("%q add up to %g, not %g", c.shown, printed, sum/c.unit)
			}
		}
	})
}
