package stash

import (
	"math/rand/v2"
	"testing"
	"time"

	"endsmeet/stash/measure"
)

// TestWhatPiecesHaveAndWhatIsAvailableAreAllOfAPackage draws pieces that a package is
// promised to: what is wound, reserved and available is what it holds.
func TestWhatPiecesHaveAndWhatIsAvailableAreAllOfAPackage(t *testing.T) {
	now := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 3))
		mass := func(n int64) measure.Mass { return measure.Mass(r.Int64N(n)) * measure.Gram }
		p := Package{ID: "p"}
		p.Known, p.Held, p.UsedIn = true, 1000*measure.Gram, map[PieceID]measure.Mass{}
		var open []Piece
		var claims measure.Mass
		for i := range r.IntN(4) {
			piece := Piece{ID: PieceID(rune('a' + i)), State: []PieceState{Planned, OnLoom}[r.IntN(2)],
				Plan: &Plan{Allotments: []Allotment{{Package: "p", Mass: mass(200),
					Warp: measure.Length(r.Int64N(90)), Weft: measure.Length(r.Int64N(90))}}}}
			p.UsedIn[piece.ID] = mass(150)
			claims += max(0, piece.Plan.Allotments[0].Mass-p.UsedIn[piece.ID])
			open = append(open, piece)
		}
		a := ApartOf(p, open)
		if a.Wound < 0 || a.Reserved < 0 ||
			a.Wound+a.Reserved+AvailableOf(p, YarnFacts{}, claims, now) != p.Held {
			t.Errorf("seed %d: %v wound, %v reserved, %v available", seed, a.Wound, a.Reserved,
				AvailableOf(p, YarnFacts{}, claims, now))
		}
	}
}
