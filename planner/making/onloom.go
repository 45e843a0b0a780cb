package making

import (
	"cmp"
	"maps"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// before is the shelf as it was before a piece took anything: what the piece was
// promised is free, and what a weighing has debited to it is there.
func (s Shelf) before(piece stash.Piece) Shelf {
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
	for _, a := range piece.Plan.Promised() {
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

// warpOf is the length of warp that a piece took of each package.
func warpOf(piece stash.Piece) map[stash.PackageID]measure.Length {
	warp := map[stash.PackageID]measure.Length{}
	for _, a := range piece.Plan.Promised() {
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
	spec.Cloth.Picks, spec.Losses.Beating = counted(piece, spec.Cloth.Picks, spec.Losses.Beating)
	threaded := piece.Plan.Ends - piece.Plan.Spec.FloatingSelvedges
	if _, err := needOf(&spec, threaded); err != nil {
		return fit.Odds{}, err
	}
	r, err := s.request(f, spec, s.weftPool(piece))
	if err != nil {
		return fit.Odds{}, err
	}
	return fit.WeftAlone(r, threaded, piece.Plan.Length, s.partsOf(*piece.Plan, r.Packages))
}

// partsOf are the parts of the weft of a plan of which each weaves its own pieces; none where
// lots meet in a piece.
func (s Shelf) partsOf(p stash.Plan, packages []fit.Package) (out []fit.Part) {
	o := Outcome{Project: p.Spec, Allotments: p.Allotments}
	o.Needs.Ends = p.Ends
	lots, whole := s.weftParts(o)
	if !whole {
		return nil
	}
	var all measure.Length
	for _, l := range lots {
		all += l.length
	}
	for _, l := range lots {
		part := fit.Part{Share: float64(l.length) / float64(all)}
		for _, k := range packages {
			if one, _ := s.find(stash.PackageID(k.ID)); one.InLot() == l.of {
				part.IDs = append(part.IDs, k.ID)
			}
		}
		out = append(out, part)
	}
	return out
}

// LoomLacking says how much more yarn would make it sure that a piece on the loom has enough
// for the size planned: weft, since the warp is wound, or what its plan says where there was
// too little for all ends. It is nothing where that is sure or not known.
func LoomLacking(s Shelf, piece stash.Piece) ([]Buy, error) {
	r, err := Remaining(s, piece, piece.LastTape())
	return r.Buys, err
}

func (s Shelf) loomBuys(piece stash.Piece, b stash.ProjectFacts, weft fit.Odds) ([]Buy, error) {
	if unwound(piece) == 0 {
		return s.buysFor(b, weft)
	}
	o, err := PlanAgain(s, piece)
	return o.Buys, err
}

// WithPieces is the plan of a piece on the loom, of which n are to be woven on the ends as they
// were wound: what is woven more or less takes its weft from what its project names, as far as
// there is any. Whether warp and weft are enough is what Remaining says of it.
func WithPieces(s Shelf, piece stash.Piece, n int) (*stash.Plan, error) {
	p, old := *piece.Plan, piece.Plan
	p.Spec.Pieces = n
	needs, err := planner.NeedForEnds(s.specOf(p.Spec), p.Ends-p.Spec.FloatingSelvedges)
	if err != nil {
		return nil, err
	}
	p.WarpEnd, p.WarpTotal, p.WeftTotal = needs.WarpEnd, needs.WarpTotal, needs.WeftTotal
	p.HemstitchTotal, p.Margin, p.Wound = needs.HemstitchTotal, 0, old.Warped(stash.Measures{})
	weft := needs.WeftTotal
	if rags := s.Named(p.Spec.Weft); needs.RagMass > 0 && len(rags) > 0 {
		weft, _ = measure.LengthOf(needs.RagMass, s.texFor(s.Yarns[rags[0].Yarn], p.Spec))
	}
	own := s.before(piece)
	p.Allotments = own.woundFor(old, p)
	p.Allotments = own.withWeft(p, weft)
	return &p, nil
}

// woundFor is what each package gives to a plan but for its weft, the warp in proportion of the
// longer or shorter ends that it plans with.
func (s Shelf) woundFor(old *stash.Plan, p stash.Plan) []stash.Allotment {
	out := slices.Clone(old.Allotments)
	for i := range out {
		a := &out[i]
		one, _ := s.find(a.Package)
		a.Weft, a.Warp = 0, scaled(a.Warp, float64(p.WarpEnd)/float64(max(1, old.WarpEnd)))
		a.Hemstitch = scaled(a.Hemstitch, float64(p.HemstitchTotal)/float64(max(1, old.HemstitchTotal)))
		a.Mass, _ = measure.MassOf(a.Warp+a.Hemstitch, s.texFor(s.Yarns[one.Yarn], p.Spec))
	}
	return out
}

// withWeft is what packages give to a plan with so much weft, of those that its project names
// for it: first of those that give already.
func (s Shelf) withWeft(p stash.Plan, need measure.Length) []stash.Allotment {
	all := p.Allotments
	free := s.free()
	for _, a := range p.Promised() {
		free[a.Package] -= a.Mass
	}
	from := s.Named(p.Spec.Weft)
	slices.SortStableFunc(from, func(x, y stash.Package) int {
		at := func(id stash.PackageID) int {
			i := slices.IndexFunc(all, func(a stash.Allotment) bool { return a.Package == id })
			return cmp.Or(i+1, len(all)+1)
		}
		return cmp.Compare(at(x.ID), at(y.ID))
	})
	for _, one := range from {
		if s.barredAs(one, stash.RoleWeft) == "" {
			all = s.allotFrom(all, one, p.Spec, free, &need, 0)
		}
	}
	return slices.DeleteFunc(merged(all),
		func(a stash.Allotment) bool { return a.Warp+a.Weft+a.Hemstitch == 0 })
}

// unwound is how many ends of a piece there was no yarn for when it was put on the loom; 0
// where they are known to be wound, or the length of the yarn is not known.
func unwound(piece stash.Piece) int {
	p := piece.Plan
	if !p.Short || p.Shared != nil || p.Wound > 0 || len(piece.Readings) > 0 {
		return 0
	}
	strands := 0
	for _, a := range p.Allotments {
		if a.Warp+a.Weft+a.Hemstitch == 0 {
			return 0
		}
		strands += a.Ends
	}
	return max(0, p.Ends-strands/max(1, p.Spec.EndStrands))
}

// weftPool is what there was for the weft of a piece on the loom, less its warp.
func (s Shelf) weftPool(piece stash.Piece) pool {
	before, warp := s.before(piece), warpOf(piece)
	out := before.gather(stash.ProjectFacts{Weft: piece.Plan.Spec.Weft,
		Clasped: piece.Plan.Spec.Clasped, RagPerM2: piece.Plan.Spec.RagPerM2})
	for i, k := range out.packages {
		out.packages[i] = k.Less(warp[stash.PackageID(k.ID)])
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
