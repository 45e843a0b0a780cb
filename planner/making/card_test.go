package making

import (
	"encoding/json"
	"strings"
	"testing"

	"endsmeet/planner/label"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func (b *bench) card(t *testing.T) label.Card {
	t.Helper()
	c, err := b.shelf.Card(b.piece)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCard(t *testing.T) {
	woven := func(t *testing.T) *bench {
		b := newBench(t)
		b.debit("oat", stash.RoleWarp, 200) // 163.2 g in the piece
		b.debit("flax", stash.RoleWeft, 120)
		return b
	}
	t.Run("per cent are of the finished piece, not of what was debited", func(t *testing.T) {
		// 163.2 of 283.2 is 57.6 %; of what was debited it would be 62.5 %.
		if got := woven(t).card(t).Composition.Words(); got != "cotton 58%, linen 42%" {
			t.Error(got)
		}
	})
	t.Run("a yarn in two roles is one use", func(t *testing.T) {
		b := woven(t)
		b.debit("oat", stash.RoleHemstitch, 10)
		if c := b.card(t); c.Composition.Words() != "cotton 59%, linen 41%" || len(c.Lots) != 2 {
			t.Error(c.Composition.Words(), c.Lots)
		}
	})
	t.Run("unknown fibre has no firm percentage", func(t *testing.T) {
		b := woven(t)
		b.yarn(t, "burgundy", "")
		b.debit("burgundy", stash.RoleHemstitch, 1)
		if c := b.card(t).Composition; c.Firm ||
			!strings.Contains(c.Words(), "unknown (burgundy)") {
			t.Error(c.Words())
		}
	})
	t.Run("a fibre on which machines disagree is not sure", func(t *testing.T) {
		b := woven(t)
		y := b.shelf.Yarns["oat"]
		y.Disputed = map[string][]json.RawMessage{"fibre": {[]byte(`[]`), []byte(`null`)}}
		b.shelf.Yarns["oat"] = y
		if c := b.card(t).Composition; c.Firm {
			t.Error(c.Words())
		}
	})
	t.Run("all the yarn debited is paid for, by mass or by package", func(t *testing.T) {
		b := woven(t)
		b.pack("oat").Price = &stash.Price{Milli: 3_100, Per: 100 * measure.Gram} // 200 g: 6.20
		// 120 of 1000 g: 1.20
		b.pack("flax").Price = &stash.Price{Milli: 10_000}
		if c := b.card(t).Cost; c.Milli != 7_400 || c.Unpriced != 0 {
			t.Errorf("%+v", c)
		}
	})
	t.Run("what has no price is counted once a package", func(t *testing.T) {
		b := woven(t)
		b.debit("oat", stash.RoleHemstitch, 1)
		if c := b.card(t).Cost; c.Milli != 0 || c.Unpriced != 2 {
			t.Errorf("%+v", c)
		}
	})
	t.Run("lots, size, maker, date and reasons for overrides", func(t *testing.T) {
		b := woven(t)
		b.pack("oat").Lot, b.pack("oat").Colour = "4417", "pale"
		b.shelf.Settings.Maker = "Ida"
		b.piece.Overrides = []stash.Override{{Reason: "asked"}}
		c := b.card(t)
		if c.Lots[0] != (label.Lot{Yarn: "oat, pale", Lot: "4417"}) || c.Width != 300 ||
			c.Length != 990 || c.Fringe != 120 ||
			c.Maker != "Ida" || c.Date != "2026-03-01" || len(c.Overrides) != 1 ||
			c.Overrides[0] != "asked" {
			t.Errorf("%+v", c)
		}
	})
	t.Run("of several pieces the size is that of one", func(t *testing.T) {
		b := woven(t)
		b.piece.Plan.Spec.Pieces, b.piece.Finish.Measures.Length = 2, 1980
		if c := b.card(t); c.Length != 990 ||
			!strings.Contains(c.Text(label.A6, 80), "2 pieces, each 30 × 99 cm") {
			t.Error(c.Text(label.A6, 80))
		}
	})
	t.Run("a piece of which nothing has a mass is refused", func(t *testing.T) {
		if _, err := newBench(t).shelf.Card(newBench(t).piece); err == nil {
			t.Error("accepted")
		}
	})
}

func TestPieceYarns(t *testing.T) {
	words := func(b *bench) string {
		var out []string
		for _, y := range b.shelf.PieceYarns(b.piece) {
			out = append(out, string(y.Role)+" "+string(y.Yarn.ID))
		}
		return strings.Join(out, ", ")
	}
	t.Run("a finished piece holds what it took", func(t *testing.T) {
		b := newBench(t)
		b.piece.Plan.Spec.Warp = []stash.Ref{{Yarn: "flax"}}
		b.debit("flax", stash.RoleHemstitch, 1)
		b.debit("oat", stash.RoleWarp, 1)
		if got := words(b); got != "warp oat, hem flax" {
			t.Error(got)
		}
	})
	t.Run("an open piece holds what is named, allotted or used by hand", func(t *testing.T) {
		b := newBench(t)
		b.piece.Finish, b.piece.State = nil, stash.OnLoom
		b.yarn(t, "gold", "metallised film")
		b.piece.Plan.Spec.Warp = []stash.Ref{{Yarn: "oat"}}
		b.piece.Plan.Allotments = []stash.Allotment{{Package: "oat", Warp: 1},
			{Package: "flax", Weft: 1}}
		b.pack("oat").UsedIn["scarf"], b.pack("gold").UsedIn["scarf"] = 1, 1
		if got := words(b); got != "warp oat, weft flax, weft gold" {
			t.Error(got)
		}
	})
}

func TestOwnLoss(t *testing.T) {
	b := newBench(t)
	b.piece.Plan.Allotments = []stash.Allotment{{Package: "oat", Warp: 1}}
	if _, ok := b.shelf.OwnLoss("oat"); ok {
		t.Error("a loss of no piece")
	}
	b.debit("oat", stash.RoleWarp, 100)
	b.debit("flax", stash.RoleWeft, 100)
	b.piece.Finish.Measures = stash.Measures{Tape: 1000, OffLoom: 1000, Length: 800}
	b.shelf.Pieces = []stash.Piece{b.piece}
	if loss, ok := b.shelf.OwnLoss("oat"); !ok || loss < 12*measure.Percent ||
		loss > 21*measure.Percent {
		t.Error(loss, ok)
	}
	if _, ok := b.shelf.OwnLoss("flax"); ok {
		t.Error("the weft's length was not measured along it")
	}
}
