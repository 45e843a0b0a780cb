package making

import (
	"cmp"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Drawn is what a drawing of a piece shows.
type Drawn struct {
	// Width and Length are as measured, else as planned; of one piece where a warp
	// was of several.
	Width, Length measure.Length
	// Bands are the stripes from the left selvedge, none for one colour and where the
	// project leaves their order open.
	Bands []fit.Band
	// Bunches are those of a fringe at the end woven first and at the other, if it is
	// not left raw.
	Bunches, OtherBunches int
}

// Drawn is what a drawing of a planned piece shows. A piece without a plan has
// nothing to draw.
func (s Shelf) Drawn(p stash.Piece) Drawn {
	if p.Plan == nil {
		return Drawn{}
	}
	spec := p.Plan.Spec
	d := Drawn{Width: p.Plan.Width, Length: p.Plan.Length}
	if p.Finish != nil {
		m := p.Finish.Measures
		d.Width = cmp.Or(m.Width, d.Width)
		d.Length = cmp.Or(p.FinishedLength(), d.Length)
	}
	threaded := p.Plan.Ends - spec.FloatingSelvedges
	if once := spec.StripeEnds(); once > 0 {
		d.Bands = stripePlan(spec).Fixed(threaded)
	}
	if n, err := planner.NeedForEnds(s.specOf(spec), threaded); err == nil {
		if first, other, err := edgesOf(spec, n); err == nil {
			d.Bunches, d.OtherBunches = first.Bunches, other.Bunches
		}
	}
	return d
}
