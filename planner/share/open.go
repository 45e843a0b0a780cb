package share

import (
	"cmp"
	"context"
	"slices"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Shortfall is yarn that an open piece was promised and that is not there.
type Shortfall struct {
	Piece string
	Buy   Buy
	// Instead are choices on the shelf that would make the piece with another yarn
	// in that part, best first.
	Instead []search.Answer
}

// maxInstead is how many other yarns are told of.
const maxInstead = 3

// Open lists what open pieces lack. Pieces on the loom take what is there first,
// then planned ones in the order in which they were planned.
func Open(ctx context.Context, shelf making.Shelf, pieces []stash.Piece,
	people map[stash.PersonID]stash.Person) ([]Shortfall, error) {
	order := slices.Clone(pieces)
	slices.SortStableFunc(order, func(a, b stash.Piece) int {
		return cmp.Or(cmp.Compare(loomFirst(a), loomFirst(b)), a.PlannedAt.Compare(b.PlannedAt),
			cmp.Compare(a.ID, b.ID))
	})
	left := map[stash.PackageID]measure.Mass{}
	for _, p := range shelf.Packages {
		left[p.ID] = stash.AvailableOf(p, shelf.Yarns[p.Yarn].YarnFacts, 0, shelf.Now)
	}
	var out []Shortfall
	for _, piece := range order {
		if piece.Plan == nil || !piece.Open() {
			continue
		}
		for _, b := range lacking(shelf, piece, left) {
			instead, err := insteadOf(ctx, shelf, piece, b, people)
			if err != nil {
				return nil, err
			}
			out = append(out, Shortfall{piece.Name, b, instead})
		}
	}
	return out, nil
}

func loomFirst(p stash.Piece) int {
	if p.State == stash.OnLoom {
		return 0
	}
	return 1
}

// lacking takes a piece's promises from what is left and says what lacks, by
// yarn and part.
func lacking(shelf making.Shelf, piece stash.Piece, left map[stash.PackageID]measure.Mass) []Buy {
	var out []Buy
	for _, a := range piece.Plan.Allotments {
		p, _ := shelf.Find(a.Package)
		need := max(0, a.Mass-p.UsedIn[piece.ID])
		take := min(need, left[a.Package])
		left[a.Package] -= take
		y := shelf.Yarns[p.Yarn]
		tex := shelf.TexFor(y, piece.Plan.Spec)
		missing, known := measure.LengthOf(need-take, tex)
		if need == take || !known {
			continue
		}
		weft := min(missing, a.Weft+a.Hem)
		if weft > 0 {
			out = addBuy(out, buyOf(y, p, stash.RoleWeft, 1, weft, tex))
		}
		if end := piece.Plan.WarpEnd; missing > weft && end > 0 {
			count := int((missing - weft + end - 1) / end)
			out = addBuy(out, buyOf(y, p, stash.RoleWarp, count, end, tex))
		}
	}
	return together(neverThere(shelf, piece, out))
}

// neverThere adds what a piece that was planned short needs beyond all that it
// was allotted: of the first yarn that its project names for the part. What has
// no known length cannot be reckoned.
func neverThere(shelf making.Shelf, piece stash.Piece, out []Buy) []Buy {
	plan := piece.Plan
	if !plan.Short || plan.WarpEnd <= 0 {
		return out
	}
	ends, weft := plan.WarpEnds(), plan.WeftTotal
	for _, a := range plan.Allotments {
		ends -= a.Ends
		weft -= a.Weft + a.Hem
	}
	if y, like, tex := firstOf(shelf, plan.Spec, plan.Spec.Warp); ends > 0 && tex > 0 {
		out = addBuy(out, buyOf(y, like, stash.RoleWarp, ends*max(1, plan.Spec.EndStrands),
			plan.WarpEnd, tex))
	}
	if y, like, tex := firstOf(shelf, plan.Spec, plan.Spec.Weft); weft > 0 && tex > 0 &&
		plan.Spec.RagPerM2 == 0 {
		out = addBuy(out, buyOf(y, like, stash.RoleWeft, 1, weft, tex))
	}
	return out
}

// firstOf is the first yarn that is named, a package of it, and its count; zero
// where none is named.
func firstOf(shelf making.Shelf, b stash.ProjectFacts, refs []stash.Ref) (stash.Yarn, stash.Package,
	measure.Count) {
	if len(refs) == 0 {
		return stash.Yarn{}, stash.Package{}, 0
	}
	id, like := refs[0].Yarn, stash.Package{}
	for _, p := range shelf.Named(refs[:1]) {
		id, like = p.Yarn, p
		break
	}
	y := shelf.Yarns[id]
	return y, like, shelf.TexFor(y, b)
}

// addBuy adds what lacks to the same yarn, lot and part.
func addBuy(all []Buy, b Buy) []Buy {
	i := slices.IndexFunc(all, func(o Buy) bool {
		return o.Yarn == b.Yarn && o.Role == b.Role && o.Lot == b.Lot && o.Colour == b.Colour
	})
	if i < 0 {
		return append(all, b)
	}
	all[i].Length += b.Length
	all[i].Mass += b.Mass
	all[i].Packages += b.Packages
	return all
}

// insteadOf searches the shelf for another yarn in the part that lacks.
func insteadOf(ctx context.Context, shelf making.Shelf, piece stash.Piece, b Buy,
	people map[stash.PersonID]stash.Person) ([]search.Answer, error) {
	shelf = shelf.Without(piece)
	var own []stash.PackageID
	for _, a := range piece.Plan.Allotments {
		if b.Role == stash.RoleWarp && a.Weft > 0 || b.Role == stash.RoleWeft && a.Warp > 0 {
			own = append(own, a.Package)
		}
	}
	k := openKind(piece, b.Role, own)
	q := search.Query{Kind: k, Top: maxInstead, Weights: search.Weights{Size: 60, Use: 20, Rest: 10,
		Lots: 10}}
	if person, ok := people[piece.Plan.Spec.For]; ok {
		q.Person = &person
	}
	q.From = func(p stash.Package) bool { return p.Yarn != b.Yarn || slices.Contains(own, p.ID) }
	found, err := search.Find(ctx, shelf, q)
	return found.Answers, err
}

// openKind is a piece's project with one part open and the other bound to what it
// was allotted.
func openKind(piece stash.Piece, open stash.Role, own []stash.PackageID) kinds.Kind {
	f := piece.Plan.Spec
	f.LeastWidth, f.LeastLength = f.Width, f.Length
	f.TakeUp, f.WeftTakeUp, f.ShrinkLength, f.ShrinkWidth, f.Stretch, f.DrawIn, f.Beat = nil, nil,
		nil, nil, nil, nil, nil
	f.Stripes, f.StripeRule = nil, ""
	switch open {
	case stash.RoleWarp:
		f.Warp, f.Weft, f.Sett = nil, refs(own), 0
	case stash.RoleWeft:
		f.Weft, f.Warp, f.Picks = nil, refs(own), 0
	default:
		f.Warp, f.Weft, f.Sett, f.Picks = nil, nil, 0, 0
	}
	return kinds.Kind{Name: piece.Name, Facts: f, Rag: f.RagPerM2 > 0, Working: kinds.WorkingOf(f),
		Rules: kinds.LikeOf(f).Rules, From: "planned"}
}
