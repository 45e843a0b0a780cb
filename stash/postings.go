package stash

import (
	"maps"
	"slices"
)

// Posting is what one event changed in the account of one package.
type Posting struct {
	Event Event
	// Delta holds the changes of the masses; its other fields mean nothing.
	Delta Account
	// Before is the account before it.
	Before Account
	// Piece is the piece that Used or Salvaged is of, if any.
	Piece PieceID
}

// Postings replays a package and gives it as it is then, with what each movement
// changed, in the order of the fold. Their sum is the package's account.
func Postings(id PackageID, facts, moves []Event, env Env) (Package, []Posting) {
	p := unmoved(id, facts, env)
	moves = slices.Clone(moves)
	slices.SortFunc(moves, Order)
	out := make([]Posting, len(moves))
	for i, e := range moves {
		before := p.Account
		before.UsedIn = maps.Clone(before.UsedIn)
		p.Apply(e, env)
		x := Posting{Event: e, Delta: difference(p.Account, before), Before: before}
		for piece, mass := range p.UsedIn {
			if mass != before.UsedIn[piece] {
				x.Piece = piece
			}
		}
		if x.Delta.Salvaged != 0 {
			x.Piece = PieceID(e.Of)
		}
		out[i] = x
	}
	return p, out
}

func difference(after, before Account) Account {
	return Account{
		Received: after.Received - before.Received, In: after.In - before.In,
		Held: after.Held - before.Held,
		Used: after.Used - before.Used, Discarded: after.Discarded - before.Discarded,
		Given:       after.Given - before.Given,
		Unexplained: after.Unexplained - before.Unexplained, Out: after.Out - before.Out,
		Salvaged: after.Salvaged - before.Salvaged,
	}
}
