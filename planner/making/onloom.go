package making

import (
	"maps"
	"slices"

	"endsmeet/planner/chance"
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
	if piece.Plan == nil || !piece.Open() || s.Claims == nil {
		return s
	}
	s.Claims = maps.Clone(s.Claims)
	for _, a := range piece.Plan.Allotments {
		p, _ := s.find(a.Package)
		s.Claims[a.Package] -= max(0, a.Mass-p.UsedIn[piece.ID])
	}
	return s
}

// wound is the length of warp that a piece took of each package, as planned.
func wound(piece stash.Piece) map[stash.PackageID]measure.Length {
	warp := map[stash.PackageID]measure.Length{}
	for _, a := range piece.Plan.Allotments {
		warp[a.Package] += a.Warp
	}
	return warp
}

// weftChance is how sure it is that the weft of a piece on the loom is enough for
// the size planned, by all that is uncertain of yarn and weaving.
func (s Shelf) weftChance(piece stash.Piece, b stash.ProjectFacts) (chance.Answer, error) {
	f, err := s.fill(b)
	if err != nil {
		return chance.Answer{}, err
	}
	spec := s.specOf(f.project)
	threaded := piece.Plan.Ends - piece.Plan.Spec.FloatingSelvedges
	if _, err := needOf(&spec, threaded); err != nil {
		return chance.Answer{}, err
	}
	r, err := s.request(f, spec, s.weftPool(piece))
	if err != nil {
		return chance.Answer{}, err
	}
	return fit.WeftAlone(r, threaded, piece.Plan.Length)
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
