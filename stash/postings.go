package stash

import (
	"slices"

	"endsmeet/stash/measure"
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

// Postings replays a package and gives what each movement changed, in the
// order of the fold. Their sum is the package's account.
func Postings(id PackageID, facts, moves []Event, env Env) []Posting {
	p := Package{ID: id}
	p.PackageFacts = decodeFacts[PackageFacts](FoldFacts(Subject(id), facts, env).Shown())
	moves = slices.Clone(moves)
	slices.SortFunc(moves, Order)
	var out []Posting
	for _, e := range moves {
		before := p.Account
		usedIn := map[PieceID]measure.Mass{}
		for piece, mass := range before.UsedIn {
			usedIn[piece] = mass
		}
		before.UsedIn = usedIn
		p.Apply(e, env)
		posting := Posting{Event: e, Delta: difference(p.Account, before), Before: before}
		for piece, mass := range p.UsedIn {
			if mass != usedIn[piece] {
				posting.Piece = piece
			}
		}
		if posting.Delta.Salvaged != 0 {
			posting.Piece = PieceID(e.Of)
		}
		out = append(out, posting)
	}
	return out
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
