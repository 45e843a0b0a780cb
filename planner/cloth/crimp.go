package cloth

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Construction is a cloth on the loom.
type Construction struct {
	Sett, Picks measure.Sett
	Warp, Weft  measure.Count
	Factor      Factor // of both yarns
	Weave       Weave
}

// TakeUp is the estimated take-up of warp and weft.
type TakeUp struct {
	Warp, Weft RatioEstimate
}

// EstimateTakeUp supposes that warp and weft take up alike between crossings
// (Peirce's geometry, solved exactly), and that floats lie straight beside
// each other, so that yarn goes into crimp only where a thread changes sides.
// The error is an [InputError], also if the cloth would be jammed.
func EstimateTakeUp(c Construction) (TakeUp, error) {
	p1, p2, d, err := c.crossings()
	if err != nil {
		return TakeUp{}, err
	}
	g, err := equalCrimp(p1, p2, d)
	if err != nil {
		return TakeUp{}, err
	}
	basis := fmt.Sprintf("estimate: Peirce, equal crimp in %s; diameter by Ashenhurst, k %.2f",
		c.Weave.Name, c.Factor.K)
	many := float64(c.Weave.intersections()) / float64(c.Weave.ends())
	warp := g.Warp.Crimp * many * p2 * c.Picks.PerMM()
	weft := g.Weft.Crimp * many * p1 * c.Sett.PerMM()
	return TakeUp{RatioEstimate{measure.RatioOf(warp), basis},
		RatioEstimate{measure.RatioOf(weft), basis}}, nil
}

// crossings are the spacings of warp and weft where a thread changes sides,
// and the sum of the diameters, in mm.
func (c Construction) crossings() (p1, p2, d float64, err error) {
	if err = positive("sett", c.Sett); err != nil {
		return
	}
	if err = positive("picks", c.Picks); err != nil {
		return
	}
	d1, err := c.Factor.diameter(c.Warp)
	if err != nil {
		return 0, 0, 0, InputError{"warp", "no count is recorded", "enter the count of the warp"}
	}
	d2, err := c.Factor.diameter(c.Weft)
	if err != nil {
		return 0, 0, 0, InputError{"weft", "no count is recorded", "enter the count of the weft"}
	}
	p1, p2 = c.Weave.room(1/c.Sett.PerMM(), d1), c.Weave.room(1/c.Picks.PerMM(), d2)
	if p1 <= 0 || p2 <= 0 {
		return 0, 0, 0, jammed()
	}
	return p1, p2, d1 + d2, nil
}

// room is the spacing at a crossing, where the threads under a float lie side
// by side: what they leave of the repeat, shared by its intersections. In plain
// weave it is the spacing itself; at the closest sett it is two diameters.
func (w Weave) room(spacing, diameter float64) float64 {
	ends, changes := float64(w.ends()), float64(w.intersections())
	return (ends*spacing - (ends-changes)*diameter) / changes
}
