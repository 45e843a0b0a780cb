package search

import (
	"endsmeet/planner"
	"endsmeet/planner/kinds"
	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// figures are sett, picks and losses of one yarn in a cloth of its own.
type figures struct {
	sett, picks measure.Sett
	losses      planner.Losses
	// ok is false where no sett is known.
	ok bool
}

// ordinary is the share of the closest sett that learn.Setts begins with.
const ordinary = 80

// figurer works figures out, once for each yarn.
type figurer struct {
	kind   kinds.Kind
	learn  learn.Shelf
	pieces []stash.Piece
	known  map[stash.YarnID]*figures
}

func newFigurer(s making.Shelf, k kinds.Kind) *figurer {
	f := &figurer{kind: k, learn: learn.Shelf{Yarns: s.Yarns, Settings: s.Settings}, pieces: s.Pieces, known: map[stash.YarnID]*figures{}}
	if len(s.Pieces) > 0 {
		f.learn.Packages = make(map[stash.PackageID]stash.Package, len(s.Packages))
		for _, p := range s.Packages {
			f.learn.Packages[p.ID] = p
		}
	}
	return f
}

func (f *figurer) of(id stash.YarnID) *figures {
	if known := f.known[id]; known != nil {
		return known
	}
	out := f.reckon(id)
	f.known[id] = out
	return out
}

func (f *figurer) reckon(id stash.YarnID) *figures {
	q := learn.Question{Brief: f.kind.Facts, Warp: []stash.YarnID{id}, Weft: []stash.YarnID{id}}
	sett, picks := learn.Setts(q, f.pieces, f.learn)
	out := &figures{sett: f.closeness(sett), picks: f.closeness(picks)}
	out.ok = out.sett > 0 && (out.picks > 0 || f.kind.Rag)
	if !out.ok {
		return out
	}
	q.Brief.Sett, q.Brief.Picks = out.sett, out.picks
	set := learn.Losses(q, f.pieces, f.learn)
	out.losses = planner.Losses{
		WarpCrimp: set.CrimpWarp.Value, WeftCrimp: set.CrimpWeft.Value, WetLength: set.ShrinkLength.Value,
		WetWidth: set.ShrinkWidth.Value, Stretch: set.Stretch.Value, DrawIn: set.DrawIn.Value,
	}
	return out
}

// closeness sets a sett that rests on the count alone as close as the kind is
// set.
func (f *figurer) closeness(s learn.SettFigure) measure.Sett {
	if s.Given || !s.FromPrior || f.kind.Working == 0 {
		return s.Value
	}
	return s.Value * measure.Sett(f.kind.Working/measure.Percent) / ordinary
}
