package stash

import (
	"testing"

	"endsmeet/stash/measure"
	"pgregory.net/rapid"
)

// What a weighing finds missing of a warp that several pieces share is in those pieces,
// to the milligram, and none of it in one that is off the loom.
func TestMissingWarpIsInThePiecesThatShareIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p Package
		p.UsedIn = map[PieceID]measure.Mass{}
		names := []PieceID{"a", "b", "c", "alone"}
		for _, id := range names {
			f := Feed{Piece: id, Warp: "w",
				Share: measure.Mass(rapid.IntRange(0, 100_000).Draw(t, "share"))}
			f.Weft, f.Done = rapid.Bool().Draw(t, "weft"), rapid.Bool().Draw(t, "done")
			if id == "alone" {
				f.Warp, f.Share, f.Done = "", 0, false
			}
			p.Feeds = append(p.Feeds, f)
			p.UsedIn[id] = measure.Mass(rapid.IntRange(0, 100_000).Draw(t, "used"))
		}
		piece := rapid.SampledFrom(names).Draw(t, "piece")
		missing := measure.Mass(rapid.IntRange(-1000, 400_000).Draw(t, "missing"))
		var sum measure.Mass
		for _, taken := range p.Into(piece, missing) {
			sum += taken.Mass
			if taken.Mass < 0 && missing >= 0 {
				t.Fatalf("%s has %d of %d", taken.Piece, taken.Mass, missing)
			}
			for _, f := range p.Feeds {
				if f.Piece == taken.Piece && taken.Piece != piece &&
					(f.Done || f.Warp != "w" || piece == "alone") {
					t.Fatalf("%s has yarn of a weighing for %s", taken.Piece, piece)
				}
			}
		}
		if sum != missing {
			t.Fatalf("%d is missing and %d went somewhere", missing, sum)
		}
	})
}

// Two parts of a warp, a third and two thirds of it, have what is missing in that
// proportion, whatever more or less was wound than planned.
func TestAWarpIsSharedInProportion(t *testing.T) {
	var p Package
	p.Feeds = []Feed{{Piece: "long", Warp: "w", Share: 60_000},
		{Piece: "short", Warp: "w", Share: 30_000}}
	got := p.Into("long", 99_000)
	if len(got) != 2 || got[0] != (Taken{"short", 33_000}) || got[1] != (Taken{"long", 66_000}) {
		t.Errorf("%v", got)
	}
	p.Feeds[0].Weft = true // the same cone is its weft: the short piece has what was planned
	if got = p.Into("long", 99_000); got[0] != (Taken{"short", 30_000}) ||
		got[1] != (Taken{"long", 69_000}) {
		t.Errorf("with its weft: %v", got)
	}
}
