package measure_test

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// TestPartIsTheNearestMassAndNothingIsLost holds the rule against exact fractions: a part
// is within half a milligram of the true one, and parts with the rest for the last add up.
func TestPartIsTheNearestMassAndNothingIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass := measure.Mass(rapid.Int64Range(0, 1<<50).Draw(t, "mass"))
		of := rapid.Int64Range(1, 1<<50).Draw(t, "of")
		n := rapid.Int64Range(0, of).Draw(t, "n")
		part := measure.Part(mass, n, of)
		exact := new(big.Rat).Mul(big.NewRat(int64(mass), 1), big.NewRat(n, of))
		off := exact.Sub(exact, big.NewRat(int64(part), 1))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 || part < 0 || part > mass {
			t.Fatalf("%d of %d of %d mg is %d", n, of, mass, part)
		}
		if rest := mass - part; rest+part != mass || rest < 0 {
			t.Fatalf("the rest of %d is %d", mass, rest)
		}
	})
	if measure.Part(7, 3, 0) != 7 || measure.Part(7, 9, 3) != 7 || measure.Part(3, 1, 2) != 2 {
		t.Error("all where nothing is divided by, and a half rounds up")
	}
}
