package making

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"endsmeet/planner/label"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Card is the card of a finished piece as far as the ledger tells it: fibres,
// size, lots, cost, the reasons for which rules were set aside. Washing and
// cautions are the caller's to add. A piece that is not finished, or of which
// nothing has a mass, is refused.
func (s Shelf) Card(piece stash.Piece) (label.Card, error) {
	inside, err := s.inside(piece)
	if err != nil {
		return label.Card{}, err
	}
	composition, err := label.Compose(usesOf(inside))
	if err != nil {
		return label.Card{}, stash.Refuse(stash.CodeRefused, "", "%v", err)
	}
	spec, m := piece.Plan.Spec, piece.Finish.Measures
	c := label.Card{
		Piece: piece.Name, Maker: s.Settings.Maker, Date: piece.EndedAt.Format(time.DateOnly),
		Width: m.Width, Length: piece.FinishedLength(),
		Fringe: spec.LongestFringe(), Pieces: spec.Pieces,
		Composition: composition, Lots: lotsOf(inside), Cost: s.cost(piece, inside),
		System: s.Settings.Units,
	}
	for _, o := range piece.Overrides {
		c.Overrides = append(c.Overrides, o.Reason)
	}
	return c, nil
}

// usesOf adds up each yarn of a piece, in all its roles.
func usesOf(inside []Inside) []label.Use {
	var out []label.Use
	at := map[stash.YarnID]int{}
	for _, in := range inside {
		i, seen := at[in.Yarn.ID]
		if !seen {
			i = len(out)
			at[in.Yarn.ID] = i
			out = append(out, label.Use{Yarn: in.Yarn.Name, Content: contentOf(in.Yarn),
				Measured: true, Weighed: true})
		}
		out[i].Mass += in.Mass
		out[i].Measured = out[i].Measured && in.Measured
		out[i].Weighed = out[i].Weighed && in.Weighed
	}
	return out
}

// contentOf is the fibre of a yarn for a label. While two machines disagree on
// it, none of it is sure.
func contentOf(y stash.Yarn) fibre.Content {
	if len(y.Disputed["fibre"]) == 0 {
		return y.Fibre
	}
	out := slices.Clone(y.Fibre)
	for i := range out {
		out[i].Doubtful = true
	}
	return out
}

func lotsOf(inside []Inside) []label.Lot {
	var out []label.Lot
	for _, in := range inside {
		name := in.Yarn.Name
		if c := in.Package.Colour; c != "" && !strings.Contains(name, c) {
			name += ", " + c
		}
		if lot := (label.Lot{Yarn: name, Lot: in.Package.Lot}); !slices.Contains(out, lot) {
			out = append(out, lot)
		}
	}
	return out
}

// cost is what all the yarn debited cost, waste and all, in the currency of the
// settings, else of the first price; what has no price in it is counted.
func (s Shelf) cost(piece stash.Piece, inside []Inside) *label.Cost {
	c := &label.Cost{Currency: s.Settings.Currency}
	seen := map[stash.PackageID]bool{}
	for _, in := range inside {
		p := in.Package
		if seen[p.ID] {
			continue
		}
		seen[p.ID] = true
		milli, known := p.Paid(p.UsedIn[piece.ID])
		currency := s.Settings.CurrencyOf(p.Price)
		if known && milli > 0 {
			c.Currency = cmp.Or(c.Currency, currency)
		}
		if !known || milli > 0 && currency != c.Currency {
			c.Unpriced++
			continue
		}
		c.Milli += milli
	}
	return c
}

// PieceYarn is a yarn of a piece and its part in it.
type PieceYarn struct {
	Role stash.Role
	Yarn stash.Yarn
}

// PieceYarns lists every yarn of a piece once for each role, in the order of
// warp, weft and hem-stitching: what its project names, what its plan allots,
// and what it really took.
func (s Shelf) PieceYarns(piece stash.Piece) []PieceYarn {
	var out []PieceYarn
	add := func(role stash.Role, p stash.Package) {
		out = withYarn(out, PieceYarn{role, s.Yarns[p.Yarn]})
	}
	if piece.Plan != nil && piece.Finish == nil {
		out = s.NamedYarns(piece.Plan.Spec)
		for _, a := range piece.Plan.Allotments {
			p, _ := s.find(a.Package)
			for _, share := range roleShares(a) {
				add(share.role, p)
			}
		}
	}
	for _, p := range s.Packages {
		if p.UsedIn[piece.ID] <= 0 {
			continue
		}
		for _, role := range s.rolesOf(piece, p) {
			add(role, p)
		}
	}
	slices.SortStableFunc(out, func(a, b PieceYarn) int {
		return slices.Index(roles,
			a.Role) - slices.Index(roles, b.Role)
	})
	return out
}

// NamedYarns lists every yarn that a project names once for each role, in the order of warp,
// weft and hem-stitching, whatever there is of it and in whatever condition.
func (s Shelf) NamedYarns(b stash.ProjectFacts) (out []PieceYarn) {
	for i, refs := range [][]stash.Ref{b.Warp, b.Weft, b.HemstitchYarn} {
		for _, p := range s.Named(refs) {
			out = withYarn(out, PieceYarn{roles[i], s.Yarns[p.Yarn]})
		}
		for _, ref := range refs { // a yarn of which there is no package
			if y, found := s.Yarns[ref.Yarn]; found {
				out = withYarn(out, PieceYarn{roles[i], y})
			}
		}
	}
	return out
}

func withYarn(all []PieceYarn, one PieceYarn) []PieceYarn {
	if slices.ContainsFunc(all, func(have PieceYarn) bool {
		return have.Role == one.Role && have.Yarn.ID == one.Yarn.ID
	}) {
		return all
	}
	return append(all, one)
}

// rolesOf are the roles in which a package went into a piece.
func (s Shelf) rolesOf(piece stash.Piece, p stash.Package) []stash.Role {
	if piece.Finish == nil && (piece.Plan == nil || !allotted(piece.Plan.Allotments, p.ID)) {
		return []stash.Role{stash.RoleWeft}
	}
	if piece.Finish == nil {
		return nil
	}
	var out []stash.Role
	for _, in := range s.debitedTo(piece, p) {
		out = append(out, in.Role)
	}
	return out
}

// OwnLosses are how much yarns shrank in the pieces whose warp was of one alone.
func (s Shelf) OwnLosses() map[stash.YarnID]measure.Ratio {
	out := map[stash.YarnID]measure.Ratio{}
	for _, p := range s.Pieces {
		if yarns := s.WarpYarns(p); len(yarns) == 1 {
			if loss, known := s.OwnLoss(yarns[0]); known {
				out[yarns[0]] = loss
			}
		}
	}
	return out
}

// OwnLoss is how much a yarn shrank in the pieces whose warp was of it alone;
// false where there are none.
func (s Shelf) OwnLoss(y stash.YarnID) (measure.Ratio, bool) {
	var own []stash.Piece
	for _, p := range s.Pieces {
		if yarns := s.WarpYarns(p); len(yarns) == 1 && yarns[0] == y {
			own = append(own, p)
		}
	}
	if len(own) == 0 {
		return 0, false
	}
	set := learn.Losses(learn.Question{Warp: []stash.YarnID{y}, Weft: []stash.YarnID{y}}, own,
		s.learning())
	return set.ShrinkLength.Value, !set.ShrinkLength.FromPrior
}
