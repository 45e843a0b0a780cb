package share

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"endsmeet/planner/kinds"
	"endsmeet/planner/like"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Shortfall is yarn that an open piece was promised and that is not there.
type Shortfall struct {
	Piece string
	Buy   making.Buy
	// Taken is what those before it take of the yarn, in their order.
	Taken []Taken
	// Instead are choices on the shelf that would make the piece with another yarn
	// in that part, best first: those that nothing speaks against, else those of which
	// something is to be checked first.
	Instead []Offer
}

// Taken is what a piece or project takes of a yarn.
type Taken struct {
	Piece string       `json:"piece"`
	Mass  measure.Mass `json:"mass_mg"`
}

// takers are what pieces take, by yarn.
type takers map[stash.YarnID][]Taken

// add counts what a piece takes of each package.
func (t takers) add(shelf making.Shelf, piece stash.Piece) {
	for _, a := range piece.Plan.Allotments {
		p, found := shelf.Find(a.Package)
		if !found || a.Mass <= 0 {
			continue
		}
		of := t[p.Yarn]
		if n := len(of) - 1; n >= 0 && of[n].Piece == piece.Name {
			of[n].Mass += a.Mass
			continue
		}
		t[p.Yarn] = append(of, Taken{piece.Name, a.Mass})
	}
}

// Offer is a choice of yarn with what is to be said of it.
type Offer struct {
	search.Answer
	Verdict verdict.Verdict
}

// maxInstead is how many other yarns are told of.
const maxInstead = 3

// Open lists what open pieces lack, and projects that name their yarn and have no piece yet.
// Pieces on the loom take what is there first, then planned ones in the order in which they
// were planned, then the projects. A project that cannot be planned lacks nothing that is
// known.
func Open(ctx context.Context, shelf making.Shelf, pieces []stash.Piece, projects []stash.Project,
	whomOf func(stash.Piece) (verdict.Whom, error)) ([]Shortfall, error) {
	order := slices.Clone(pieces)
	slices.SortStableFunc(order, func(a, b stash.Piece) int {
		return cmp.Or(cmp.Compare(loomFirst(a), loomFirst(b)), a.PlannedAt.Compare(b.PlannedAt),
			cmp.Compare(a.ID, b.ID))
	})
	for _, piece := range order { // each beside those before it
		shelf = shelf.Without(piece)
	}
	list := buyList{ctx: ctx, whomOf: whomOf, taken: takers{}}
	for _, piece := range order {
		if piece.Plan == nil || !piece.Open() {
			continue
		}
		buys, err := lacking(shelf, piece)
		if err == nil {
			err = list.add(shelf, piece, buys)
		}
		if err != nil {
			return nil, err
		}
		shelf = shelf.With(piece)
	}
	for _, b := range projects {
		o, err := making.Plan(shelf, b.ProjectFacts)
		if err != nil || len(b.Warp) == 0 || len(b.Weft) == 0 {
			continue
		}
		piece := stash.Piece{Name: b.Name, Project: b.ID, State: stash.Planned, Plan: o.Record()}
		if err := list.add(shelf, piece, o.Buys); err != nil {
			return nil, err
		}
		shelf = shelf.With(piece)
	}
	return list.out, nil
}

// buyList is what the pieces so far lack, and what they take.
type buyList struct {
	ctx    context.Context
	whomOf func(stash.Piece) (verdict.Whom, error)
	taken  takers
	out    []Shortfall
}

// add tells what a piece lacks, what speaks against buying it for whom the piece is, and what
// to take instead.
func (l *buyList) add(shelf making.Shelf, piece stash.Piece, buys []making.Buy) error {
	whom, err := l.whomOf(piece)
	if err != nil {
		return err
	}
	for _, b := range verdict.ToBuy(shelf, buys, whom) {
		instead, err := insteadOf(l.ctx, shelf, piece, b, whom)
		if err != nil {
			return err
		}
		l.out = append(l.out, Shortfall{piece.Name, b, slices.Clone(l.taken[b.Yarn]), instead})
	}
	l.taken.add(shelf, piece)
	return nil
}

func loomFirst(p stash.Piece) int {
	if p.State == stash.OnLoom {
		return 0
	}
	return 1
}

// lacking is what a piece lacks, on a shelf that holds nothing for it: of a planned one
// what its plan says, of one on the loom what its loom says.
func lacking(shelf making.Shelf, piece stash.Piece) ([]making.Buy, error) {
	shelf = shelf.With(piece)
	if piece.State == stash.OnLoom {
		return making.LoomLacking(shelf, piece)
	}
	o, err := making.PlanAgain(shelf, piece)
	return o.Buys, err
}

// insteadOf searches the shelf for another yarn in the part that lacks, one like it: at the
// same sett a much finer one would be another cloth.
func insteadOf(ctx context.Context, shelf making.Shelf, piece stash.Piece, b making.Buy,
	whom verdict.Whom) ([]Offer, error) {
	var own []stash.PackageID
	for _, a := range piece.Plan.Allotments {
		if b.Role == stash.RoleWarp && a.Weft > 0 || b.Role == stash.RoleWeft && a.Warp > 0 {
			own = append(own, a.Package)
		}
	}
	k := openKind(piece, b.Role, own)
	q := search.Query{Kind: k, Top: manyInstead, Weights: search.Weights{Size: 60, Use: 20, Rest: 10,
		Lots: 10}, Person: whom.Person}
	lacks := shelf.Yarns[b.Yarn]
	q.From = func(p stash.Package) bool {
		return slices.Contains(own, p.ID) || p.Yarn != b.Yarn && like.Yarns(lacks, shelf.Yarns[p.Yarn])
	}
	found, err := search.Find(ctx, shelf, q)
	return offers(found.Answers, b.Role, whom), err
}

// manyInstead is of how many choices it is asked what speaks against them.
const manyInstead = 6

// offers are the choices that the gate lets through, each yarn once: those of the best grade
// that any has.
func offers(all []search.Answer, role stash.Role, whom verdict.Whom) []Offer {
	var out []Offer
	seen := map[string]bool{}
	for _, a := range all {
		v := verdict.OfPlan(a.Shelf, a.Outcome, whom)
		key := yarnKey(a, role)
		if v.Grade.Blocks() || seen[key] || unadvised(a, whom) {
			continue
		}
		seen[key] = true
		out = append(out, Offer{a, v})
	}
	best := verdict.Check
	for _, o := range out {
		if best.Worse(o.Verdict.Grade) {
			best = o.Verdict.Grade
		}
	}
	out = slices.DeleteFunc(out, func(o Offer) bool { return o.Verdict.Grade != best })
	return out[:min(len(out), maxInstead)]
}

// unadvised says whether something speaks against a yarn of a choice.
func unadvised(a search.Answer, whom verdict.Whom) bool {
	return slices.ContainsFunc(slices.Concat(a.Warp, a.Weft), func(id stash.PackageID) bool {
		p, _ := a.Shelf.Find(id)
		return verdict.Unadvised(a.Shelf.Yarns[p.Yarn], whom) != ""
	})
}

// yarnKey names the yarns that a choice takes in a role that is open.
func yarnKey(a search.Answer, role stash.Role) string {
	ids := slices.Clone(a.Weft)
	if role != stash.RoleWeft {
		ids = slices.Clone(a.Warp)
	}
	if role == making.WarpAndWeft {
		ids = append(ids, a.Weft...)
	}
	var yarns []string
	for _, id := range ids {
		if p, found := a.Shelf.Find(id); found && !slices.Contains(yarns, string(p.Yarn)) {
			yarns = append(yarns, string(p.Yarn))
		}
	}
	slices.Sort(yarns)
	return strings.Join(yarns, "\x00")
}

// openKind is a piece's project with one part open and the other bound to what it
// was allotted.
func openKind(piece stash.Piece, open stash.Role, own []stash.PackageID) kinds.Kind {
	f := piece.Plan.Spec
	f.LeastWidth, f.LeastLength = f.Width, f.Length
	f.TakeUp, f.WeftTakeUp, f.ShrinkLength, f.ShrinkWidth, f.Stretch, f.DrawIn, f.Beat = nil, nil,
		nil, nil, nil, nil, nil
	f.Stripes, f.StripeRule, f.Ends, f.LeastStripe, f.MostStripe = nil, "", 0, 0, 0
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
