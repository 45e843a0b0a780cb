package making

import (
	"maps"
	"slices"

	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Before is the shelf as it was before a piece took anything: what the piece was
// promised is free, and what a weighing has debited to it is there.
func (s Shelf) Before(piece stash.Piece) Shelf {
	s = s.Without(piece)
	s.Packages = slices.Clone(s.Packages)
	for i, p := range s.Packages {
		s.Packages[i].Held += max(0, p.UsedIn[piece.ID])
	}
	return s
}

// Without is the shelf as it is without what a piece was promised and has not
// yet taken.
func (s Shelf) Without(piece stash.Piece) Shelf {
	return s.claim(piece, -1)
}

// With is the shelf with what a piece was promised and has not yet taken: what Without
// leaves out.
func (s Shelf) With(piece stash.Piece) Shelf { return s.claim(piece, 1) }

// claim adds what a piece is promised to the claims, or takes it off.
func (s Shelf) claim(piece stash.Piece, sign measure.Mass) Shelf {
	if piece.Plan == nil || !piece.Open() || s.Claims == nil {
		return s
	}
	s.Claims = maps.Clone(s.Claims)
	for _, a := range piece.Plan.Allotments {
		p, _ := s.find(a.Package)
		s.Claims[a.Package] += sign * max(0, a.Mass-p.UsedIn[piece.ID])
	}
	return s
}

// PlanAgain plans a piece anew for the ends it was planned with, out of what its project
// names: what it was promised is its own, and the losses that its project did not set are
// those of now, with their doubts.
func PlanAgain(s Shelf, piece stash.Piece) (Outcome, error) {
	b := piece.Plan.Spec
	reopen(&b, piece.Plan.Set, nil)
	return PlanEnds(s.Without(piece), b, piece.Plan.Ends-b.FloatingSelvedges)
}

// wound is the length of warp that a piece took of each package, as planned.
func wound(piece stash.Piece) map[stash.PackageID]measure.Length {
	warp := map[stash.PackageID]measure.Length{}
	for _, a := range piece.Plan.Allotments {
		warp[a.Package] += a.Warp
	}
	return warp
}

// weftOdds are how sure it is that the weft of a piece on the loom is enough for
// the size planned, by all that is uncertain of yarn and weaving.
func (s Shelf) weftOdds(piece stash.Piece, b stash.ProjectFacts) (fit.Odds, error) {
	f, err := s.fill(b)
	if err != nil {
		return fit.Odds{}, err
	}
	spec := s.specOf(f.project)
	threaded := piece.Plan.Ends - piece.Plan.Spec.FloatingSelvedges
	if _, err := needOf(&spec, threaded); err != nil {
		return fit.Odds{}, err
	}
	r, err := s.request(f, spec, s.weftPool(piece))
	if err != nil {
		return fit.Odds{}, err
	}
	return fit.WeftAlone(r, threaded, piece.Plan.Length)
}

// WeftLacking says how much more weft would make it sure that a piece on the loom, whose
// warp is wound, has enough for the size planned; nothing where it is sure or not known.
func WeftLacking(s Shelf, piece stash.Piece) ([]Buy, error) {
	b := piece.Plan.Spec
	reopen(&b, piece.Plan.Set, nil)
	s = s.Taught()
	odds, err := s.weftOdds(piece, b)
	if err != nil {
		return nil, err
	}
	return s.buysFor(b, odds)
}

// weftPool is what there was for the weft of a piece on the loom, less its warp.
func (s Shelf) weftPool(piece stash.Piece) pool {
	before, warp := s.Before(piece), wound(piece)
	out := before.gather(stash.ProjectFacts{Weft: piece.Plan.Spec.Weft,
		Clasped: piece.Plan.Spec.Clasped, RagPerM2: piece.Plan.Spec.RagPerM2})
	for i, k := range out.packages {
		out.packages[i].Length = max(0, k.Length-warp[stash.PackageID(k.ID)])
	}
	return out
}

// labels are what packages are called.
func (s Shelf) labels(ids []string) []string {
	var out []string
	for _, id := range ids {
		p, _ := s.find(stash.PackageID(id))
		out = append(out, p.Label())
	}
	return out
}
