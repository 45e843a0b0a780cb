package cloth

import (
	"fmt"
	"math"

	"endsmeet/stash/measure"
)

// texPerYardsPerPound is tex times yards per pound: 453.59237 g / 0.0009144 km.
const texPerYardsPerPound = 453.59237 / 0.0009144

// texPerCotton is tex times English cotton count (840 yards per pound).
const texPerCotton = texPerYardsPerPound / 840

// inch in millimetres.
const inch = 25.4

// Factor is Ashenhurst's k: diameters per inch = k sqrt(yards per pound).
type Factor struct {
	Name   string
	K      float64
	Source string
}

// Ashenhurst's factor for kinds of yarn. Of woollen yarn 0.84 is printed too.
var (
	Smooth  = Factor{"silk, cotton, linen", 0.92, "Ashenhurst, quoted after Watson"}
	Worsted = Factor{"worsted and other firm yarn", 0.90, "Ashenhurst, quoted"}
	Woollen = Factor{"woollen", 0.85, "Ashenhurst, quoted"}
)

// diametersPerInch is how many threads of resultant count c lie side by side
// in an inch. Hand wraps come out lower, so do not run it backwards. The error
// is an [InputError] if no count is recorded.
func (f Factor) diametersPerInch(c measure.Count) (float64, error) {
	if err := known("count", c); err != nil {
		return 0, err
	}
	return f.K * math.Sqrt(texPerYardsPerPound/tex(c)), nil
}

// diameter is the yarn's diameter in millimetres; errors as for
// DiametersPerInch.
func (f Factor) diameter(c measure.Count) (float64, error) {
	d, err := f.diametersPerInch(c)
	if err != nil {
		return 0, err
	}
	return inch / d, nil
}

// basis names the factor in an estimate.
func (f Factor) basis() string {
	return fmt.Sprintf("estimate: Ashenhurst, k %.2f (%s)", f.K, f.Name)
}

// tex is a count in g/km.
func tex(c measure.Count) float64 { return float64(c) / float64(measure.Tex) }
