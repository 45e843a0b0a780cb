package making

import (
	"maps"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Rest is what can still be woven on the warp that is on the loom. Lengths are
// whole millimetres, rounded down.
type Rest struct {
	// Woven is what the tape reads so far.
	Woven measure.Length
	// Tape is how much further the tape can come, Finished what that gives.
	Tape     measure.Length
	Finished measure.Length
	// AfterPiece is the finished length of a further piece, with fringe or gap
	// between, when the planned pieces are woven first; zero for none.
	AfterPiece measure.Length
	// Weft is the finished length that the weft left allows from here; it is
	// meaningless unless WeftKnown.
	Weft      measure.Length
	WeftKnown bool
	// Binding is what ends it: warp or weft.
	Binding string
}

// Remaining says what the warp of a piece on the loom still gives when the
// tape, under tension, reads woven. The last max(waste, fringe) of each end
// stays unwoven.
func Remaining(s Shelf, piece stash.Piece, woven measure.Length) (Rest, error) {
	if piece.Plan == nil || piece.State != stash.OnLoom {
		return Rest{}, stash.Refuse(stash.CodeRefused, "", "%s is not on the loom", piece.Name)
	}
	p := piece.Plan
	spec := s.specOf(p.Spec)
	free := float64(p.WarpEnd - fixedOf(spec))
	perTape := (1 + spec.Losses.WarpTakeUp.Float()) / (1 + spec.Losses.Stretch.Float())
	left := free - float64(woven)*perTape
	if left < -1 {
		return Rest{}, stash.Refuse(stash.CodeInput, "read the tape again", "%s woven is more than the warp holds: the tape can read at most %s",
			woven.Cloth(s.Settings.Units), measure.Length(free/perTape).Cloth(s.Settings.Units))
	}
	r := Rest{Woven: woven, Tape: floor(left / perTape), Binding: "warp"}
	finishedPerTape := (1 - spec.Losses.WetLength.Float()) / (1 + spec.Losses.Stretch.Float())
	r.Finished = floor(float64(r.Tape) * finishedPerTape)
	planned := float64(p.Tape) * float64(spec.Pieces)
	gap := 2 * float64(spec.Edges.RawFringe())
	r.AfterPiece = floor((free - planned*perTape - gap) / perTape * finishedPerTape)
	err := s.restOfWeft(&r, piece, spec, finishedPerTape)
	return r, err
}

// fixedOf is the part of each end that is not woven: sample, header, waste or
// fringe at both ends, and the gaps between the pieces.
func fixedOf(spec planner.Spec) measure.Length {
	f := spec.Edges.RawFringe()
	return spec.Loom.Sample + spec.Loom.HeaderWarp + max(f, spec.Loom.Front) + max(f, spec.Loom.Back) + measure.Length(spec.Pieces-1)*2*f
}

func floor(mm float64) measure.Length { return measure.Length(max(0, mm)) }

// restOfWeft compares with the weft that is left, less what has been woven in.
// All lengths are those of the whole warp: so much yarn weaves as much cloth in
// one piece as in several.
func (s Shelf) restOfWeft(r *Rest, piece stash.Piece, spec planner.Spec, finishedPerTape float64) error {
	if spec.Weft.MassPerArea > 0 {
		return nil
	}
	line, err := spec.WeftLine(piece.Plan.Ends - piece.Plan.Spec.FloatingSelvedges)
	if err != nil {
		return err
	}
	supply, known := s.weftFor(piece)
	if !known {
		return nil
	}
	perCloth := line.Slope() / float64(spec.Pieces)
	if perCloth <= 0 {
		return nil
	}
	used := float64(line.Fixed()) + float64(r.Woven)*finishedPerTape*perCloth
	r.Weft, r.WeftKnown = floor((float64(supply)-used)/perCloth), true
	if r.Weft < r.Finished {
		r.Binding = "weft"
	}
	return nil
}

// weftFor is the length of weft that a piece has been promised or could have.
func (s Shelf) weftFor(piece stash.Piece) (measure.Length, bool) {
	own := s.Without(piece)
	warp := map[stash.PackageID]measure.Length{}
	for _, a := range piece.Plan.Allotments {
		warp[a.Package] = a.Warp
	}
	var sum measure.Length
	for _, p := range own.Named(piece.Plan.Spec.Weft) {
		a := own.amount(p)
		length, ok := measure.LengthOf(a.Available, s.Yarns[p.Yarn].Tex())
		if !ok || !a.Known {
			return 0, false
		}
		sum += max(0, length-warp[p.ID])
	}
	return sum, true
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

// Another is the answer to "a longer warp now, or a new warp later?".
type Another struct {
	// Longer has one more piece on the same warp; First is the project as it
	// stands, Later a new warp from what First leaves.
	Longer, First, Later Outcome
}

// WithAnother plans a project with one more piece, on a longer warp and on a
// warp of its own.
func WithAnother(s Shelf, b stash.ProjectFacts) (Another, error) {
	var a Another
	var err error
	if a.First, err = Plan(s, b); err != nil {
		return a, err
	}
	more := b
	more.Pieces = max(1, b.Pieces) + 1
	if a.Longer, err = Plan(s, more); err != nil {
		return a, err
	}
	left := s
	left.Claims = maps.Clone(s.Claims)
	if left.Claims == nil {
		left.Claims = map[stash.PackageID]measure.Mass{}
	}
	for _, allot := range a.First.Allotments {
		left.Claims[allot.Package] += allot.Mass
	}
	one := b
	one.Pieces = 1
	a.Later, err = Plan(left, one)
	return a, err
}
