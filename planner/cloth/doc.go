// Package cloth estimates what a weaver has not measured yet: the diameter of
// a yarn, how closely a weave can be set, and how much warp and weft take up.
// Every estimate carries its basis in words; a measured figure is always
// better.
//
// Sources. Diameter: Ashenhurst's rule, diameters per inch = k sqrt(yards per
// pound). Closest sett: ends plus intersections. Take-up: Taylor, Cotton Weaving
// and Designing, 6th edition, for a quick figure, and the flexible-thread
// geometry of Peirce 1937 (J. Text. Inst. 28, T45), solved exactly.
//
// Distances are in millimetres and ratios plain floats in here; what goes out
// to a plan is rounded once to measure's integers.
package cloth

import (
	"math"

	"endsmeet/stash/measure"
)

// SettEstimate is an estimated sett and what it rests on.
type SettEstimate struct {
	Sett  measure.Sett
	Basis string
}

// RatioEstimate is an estimated take-up and what it rests on.
type RatioEstimate struct {
	Ratio measure.Ratio
	Basis string
}

// InputError says which input cannot be used and what to do.
type InputError struct {
	Field   string
	Problem string
	Hint    string
}

// Error is field and problem in one line.
func (e InputError) Error() string { return e.Field + ": " + e.Problem }

// settOf rounds threads per millimetre to a sett, half to even.
func settOf(perMM float64) measure.Sett { return measure.Sett(math.RoundToEven(perMM * 1e6)) }

// known refuses a count that is not recorded.
func known(field string, c measure.Count) error {
	if c <= 0 {
		return InputError{field, "no count is recorded",
			"weigh and measure a length of the yarn, or enter its count"}
	}
	return nil
}

// positive refuses a sett of zero or less.
func positive(field string, s measure.Sett) error {
	if s <= 0 {
		return InputError{field, "must be above zero", "give ends or picks with their unit"}
	}
	return nil
}

// percent is a plain ratio as a person writes it.
func percent(r float64) string { return measure.InPercent(r) }
