package stash

import "endsmeet/stash/measure"

// SharedWarp is a warp on which several pieces are woven.
type SharedWarp struct {
	// ID is the same for all pieces of a warp, and this one is the Place-th Of them.
	ID    string `json:"id"`
	Place int    `json:"place"`
	Of    int    `json:"of"`
	// Ends are those of the warp, of which a narrower piece leaves some idle, End is how
	// long each is, Reed how wide they lie.
	Ends int            `json:"ends"`
	End  measure.Length `json:"end_mm"`
	Reed measure.Length `json:"reed_mm"`
	// Separator is what is left between two pieces beside their fringes.
	Separator measure.Length `json:"separator_mm,omitempty"`
}

// WarpEnds is how many ends the yarn of the warp was wound for.
func (p Plan) WarpEnds() int {
	if p.Shared != nil {
		return p.Shared.Ends
	}
	return p.Ends
}

// OfPart is this piece's part of a length of the whole warp.
func (p Plan) OfPart(whole measure.Length) measure.Length {
	if p.Shared == nil || p.Shared.End <= 0 {
		return whole
	}
	return measure.Length(float64(whole)*float64(p.WarpEnd)/float64(p.Shared.End) + 0.5)
}

// SharesWarp says whether two pieces are on one warp.
func (p Piece) SharesWarp(other Piece) bool {
	return p.ID != other.ID && p.Plan != nil && other.Plan != nil && p.Plan.Shared != nil &&
		other.Plan.Shared != nil && p.Plan.Shared.ID == other.Plan.Shared.ID
}

// Place is the piece's place among those on its warp, from 1 on; 0 where it has one of its own.
func (p Plan) Place() int {
	if p.Shared == nil {
		return 0
	}
	return p.Shared.Place
}
