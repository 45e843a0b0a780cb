package cloth

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Taylor's multipliers for Contraction.
const (
	FineHeavy = 4.0 // fine, heavily picked cloth
	Medium    = 3.0 // medium cloth
)

// Contraction is Taylor's rule of thumb for the take-up of the warp, in per
// cent: intersections per inch times m over the cotton count of the weft. It
// is for firm cotton cloth of fine yarn and says nothing of handspun wool. The
// error is an [InputError].
func Contraction(picks measure.Sett, w Weave, weft measure.Count, m float64) (RatioEstimate, error) {
	if err := positive("picks", picks); err != nil {
		return RatioEstimate{}, err
	}
	if err := known("weft", weft); err != nil {
		return RatioEstimate{}, err
	}
	if !(m > 0 && m < 100) {
		return RatioEstimate{}, InputError{"multiplier", "is out of range", "4 for fine heavy cloth, 3 for medium"}
	}
	intersections := picks.PerMM() * inch / w.AverageFloat()
	r := intersections * m * tex(weft) / texPerCotton / 100
	return RatioEstimate{measure.RatioOf(r), fmt.Sprintf("estimate: Taylor's contraction rule, multiplier %g, %s", m, w.Name)}, nil
}
