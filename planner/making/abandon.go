package making

import (
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Abandon works out what a piece took that is cut off the loom unfinished: the warp as it
// was wound, the weft as far as it is known to be woven, and what was weighed. That no
// weft is computed says that nothing is known of it.
func (s Shelf) Abandon(piece stash.Piece, in FinishInput) (stash.Finish, error) {
	if piece.Plan == nil || piece.Plan.Short && len(in.Weighed) == 0 {
		return stash.Finish{}, nil
	}
	in.Unusual = true
	if in.Measures.Tape == 0 && in.Measures.Picks == 0 {
		in.Measures.Tape = tapeRead(piece)
	}
	if in.Measures.Tape == 0 && in.Measures.Picks == 0 {
		plan := *piece.Plan
		plan.Allotments = slices.Clone(plan.Allotments)
		for i := range plan.Allotments {
			plan.Allotments[i].Weft = 0
		}
		piece.Plan = &plan
	}
	return s.Finish(piece, in)
}

// tapeRead is the length that was last read on the loom, under tension; 0 for none.
func tapeRead(p stash.Piece) measure.Length {
	for _, r := range slices.Backward(p.Readings) {
		if r.Tape > 0 {
			return r.Tape
		}
	}
	return 0
}
