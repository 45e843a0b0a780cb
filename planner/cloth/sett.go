package cloth

import (
	"fmt"
	"math"

	"endsmeet/stash/measure"
)

// Working is how close to the closest possible sett a cloth is woven.
type Working struct {
	Name  string
	Share float64 // of the closest sett
}

// Working shares as a handweaving teacher prints them; delicate cloth is
// printed as 50 to 60 per cent.
var (
	Ordinary   = Working{"ordinary cloth", 0.80}
	upholstery = Working{"upholstery", 0.90}
	delicate   = Working{"delicate cloth", 0.55}
)

// Workings are all working shares.
func Workings() []Working { return []Working{Ordinary, upholstery, delicate} }

// closestSett is the sett at which threads of count c just jam in weave w:
// diameters times ends / (ends + intersections). The error is an
// [InputError] if no count is recorded.
func closestSett(c measure.Count, f Factor, w Weave) (SettEstimate, error) {
	d, err := f.diametersPerInch(c)
	if err != nil {
		return SettEstimate{}, err
	}
	basis := fmt.Sprintf("%s, ends plus intersections for %s", f.basis(), w.Name)
	return SettEstimate{settOf(d * w.firmness() / inch), basis}, nil
}

// WorkingSett is the sett to begin a sample with: a share of the closest one.
// The error is an [InputError] if no count is recorded.
func WorkingSett(c measure.Count, f Factor, w Weave, use Working) (SettEstimate, error) {
	closest, err := closestSett(c, f, w)
	if err != nil {
		return SettEstimate{}, err
	}
	basis := fmt.Sprintf("%s, %s for %s", closest.Basis, percent(use.Share), use.Name)
	return SettEstimate{settOf(closest.Sett.PerMM() * use.Share), basis}, nil
}

// Share is one yarn of a mixed warp: the sett it wants alone, and how many of
// the ends are of it.
type Share struct {
	Sett measure.Sett
	Ends int
}

// Mixed is the sett of a mixed warp.
type Mixed struct {
	// each end has the room that it wants alone, as yarns wrapped in proportion show
	SettEstimate
	Mean   measure.Sett // the setts averaged by their ends, the quick figure; never lower
	Unlike bool         // one yarn is set more than twice as closely as another: sample first
}

// MixedSett is the sett at which each end of a mixed warp has the room that it wants
// alone: the harmonic mean of the setts by the share of the ends, which is what wrapping
// the yarns round a ruler in their proportion shows. It holds for evenly mixed ends, not
// for broad stripes of unlike yarn. The error is an [InputError].
func MixedSett(shares []Share) (Mixed, error) {
	var sum, room, ends float64
	low, high := math.Inf(1), 0.0
	for _, s := range shares {
		if s.Sett <= 0 || s.Ends <= 0 {
			return Mixed{}, InputError{"shares", "every yarn needs its sett and its ends",
				"leave out yarns without ends"}
		}
		e, n := s.Sett.PerMM(), float64(s.Ends)
		sum, room, ends = sum+e*n, room+n/e, ends+n
		low, high = math.Min(low, e), math.Max(high, e)
	}
	if ends == 0 {
		return Mixed{}, InputError{"shares", "there is no yarn",
			"give at least one yarn with its sett and ends"}
	}
	const basis = "estimate: each end with the room it takes alone, as wrapped in proportion (taught by handbooks of weaving)"
	return Mixed{SettEstimate{settOf(ends / room), basis}, settOf(sum / ends), high > 2*low}, nil
}
