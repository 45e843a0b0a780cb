package levels

import (
	"math"
	"testing"
)

// TestASampleIsWorthWhatItLeavesOnceRead forecasts what a sample of the same cloth will
// leave of the doubt of a piece, and reads it: the doubt is then about that, and what
// pieces differ by stays.
func TestASampleIsWorthWhatItLeavesOnceRead(t *testing.T) {
	h := Handbook{Vector{.030, .025, .065, .0675}, Vector{.015, .022, .040, .040}}
	path, of := Path{"wool", "y", "c"}, Vector{1, 0, 1, 1}
	sample := Reading{Take: of, Value: of.Dot(h.Mean), Errors: []Error{{"tape", .01}}}
	before := Learn(nil).Next(path, h)
	now, scatter := before.Spread(of)
	told := before.After(of, sample, false)
	left, _ := Learn([]Piece{{path, h, []Reading{sample}}}).Next(path, h).Spread(of)
	if math.Abs(left/told-1) > .15 || told > .85*now || told < scatter {
		t.Errorf("± %.4f now, ± %.4f said, ± %.4f once it is read, ± %.4f by which pieces differ",
			now, told, left, scatter)
	}
	if on := before.After(of, sample, true); on >= told {
		t.Errorf("read of the piece itself it leaves ± %.4f, of another ± %.4f", on, told)
	}
}
