package fit

import (
	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Doubt is one error of the weaving, independent of the others: what a size needs one
// standard deviation above the mean and one below.
type Doubt struct {
	// Name says what is in doubt; it is the factor of package chance.
	Name         string
	Above, Below Geometry
}

// Doubts states the doubts of a spec as geometries, which geometry makes of specs.
func Doubts(spec planner.Spec, doubts []planner.Doubt,
	geometry func(planner.Spec) (Geometry, error)) ([]Doubt, error) {
	out := make([]Doubt, len(doubts))
	for i, d := range doubts {
		out[i].Name = d.Name
		var err error
		if out[i].Above, err = geometry(spec.With(d, 1)); err != nil {
			return nil, err
		}
		if out[i].Below, err = geometry(spec.With(d, -1)); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// loadings says what every doubt does to a need that is a share of what geometries ask
// for, in mm for one standard deviation.
func (r *Request) loadings(share float64, need func(Geometry) measure.Length) []chance.Loading {
	var out []chance.Loading
	for _, d := range r.Doubts {
		if by := float64(need(d.Above)-need(d.Below)) / 2 * share; by != 0 {
			out = append(out, chance.Loading{Factor: d.Name, Absolute: by})
		}
	}
	return out
}
