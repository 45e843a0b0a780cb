package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// towelShelf draws several pieces on one warp and wefts of several dye lots that together
// have about what is wanted, each of a colour of its own or all of one, the warp or one of
// them at times scarce.
func towelShelf(t *testing.T, r *rand.Rand) (Shelf, stash.ProjectFacts) {
	b := scarf()
	b.Warp, b.Weft = yarnRef(cotton), yarnRef(wool)
	b.Width, b.Length, b.Pieces = measure.Length(200+r.IntN(300)), measure.Length(400+r.IntN(500)), 2+r.IntN(4)
	b.Sample = measure.Length(r.IntN(2) * r.IntN(300))
	b.TakeUp, b.WeftTakeUp, b.Stretch, b.ShrinkLength, b.DrawIn = nil, nil, nil, nil, nil
	rich := stock(t, of("c", cotton, 30_000), of("w", wool, 30_000))
	want := planned(t, rich, b)
	warp, _ := measure.MassOf(want.Needs.WarpTotal, rich.Yarns[cotton].Tex())
	weft, _ := measure.MassOf(want.Needs.WeftTotal, rich.Yarns[wool].Tex())
	pack := func(id string, yarn stash.YarnID, mass float64, colour string) stash.Package {
		p := of(id, yarn, 0, coloured(colour), lot(id))
		p.Held = measure.Mass(mass)
		p.Received, p.Form = p.Held, "cone"
		if r.IntN(2) == 0 {
			p.Tare = &stash.Tare{Mass: 30_000, Source: stash.TareAssumed, Spread: 6000}
		}
		return p
	}
	packs := []stash.Package{pack("c", cotton, float64(warp)*(1.02+0.2*r.Float64()), "oat")}
	left := float64(weft)
	colours := r.IntN(2)
	for i := range 2 + r.IntN(2) {
		whole := float64(1+r.IntN(b.Pieces)) / float64(b.Pieces)
		mass := float64(weft) * whole * (1 + 0.12*r.Float64())
		packs = append(packs, pack(fmt.Sprint("w", i), wool, mass, fmt.Sprint("dye ", i*colours)))
		left -= mass
	}
	return stock(t, packs...), b
}

// weaveEach weaves each piece from the weft that a plan gives it, and the sample.
func (w *weaver) weaveEach(lots []weftLot, once, middle float64) bool {
	all := w.yarn()
	along, across := w.drawn(w.along), w.drawn(w.across)
	end, weft := w.takes(along, across, 30*w.r.NormFloat64())
	warp := slices.DeleteFunc(slices.Clone(all), func(s strand) bool { return !s.warp })
	if !w.wound(warp, end, 0) {
		return false
	}
	sample := once * weft / middle
	each := (weft - sample) / float64(w.b.Pieces)
	for _, l := range lots {
		need := each * math.Round(l.pieces)
		if l.sample {
			need += sample
		}
		for _, s := range all {
			if s.weft && s.of == l.of {
				need -= s.length
			}
		}
		if need > 0 {
			return false
		}
	}
	return true
}

// TestEveryPieceIsOfItsOwnWeft plans random pieces on one warp with wefts of several
// dye lots: the chance is that the warp reaches and each weft has its own pieces, as plain
// sampling finds it, and never more than that of one weft and its pieces alone.
func TestEveryPieceIsOfItsOwnWeft(t *testing.T) {
	const draws = 2000
	shared, open := 0, 0
	for n := range 150 {
		s, b := towelShelf(t, rand.New(rand.NewPCG(uint64(n), 5)))
		o, err := Plan(s, b)
		if err != nil || !o.Fits() {
			continue
		}
		lots, whole := s.weftParts(o)
		if len(lots) < 2 || !whole || len(o.Further) > 0 {
			continue // another that goes on: TestTheChanceIsOfTheYarnThatIsNamed
		}
		shared++
		for _, l := range lots {
			alone := b
			alone.Pieces = int(math.Round(l.pieces))
			if alone.Pieces == 0 {
				continue // the sample alone
			}
			if alone.Weft = []stash.Ref{{Package: packageOf(s, l.of)}}; !l.sample {
				alone.Sample = 0
			}
			part, err := Plan(s, alone)
			if err != nil {
				t.Fatal(err)
			}
			if o.Probability > part.Probability+o.Bound+part.Bound+0.004 {
				t.Errorf("plan %d: %d pieces of %v alone are %.3f, all %d are %.3f", n, alone.Pieces,
					l.labels, part.Probability, b.Pieces, o.Probability)
			}
		}
		w := weaverOf(s, o, b, uint64(n))
		woven := 0
		for range draws {
			if w.weaveEach(lots, float64(s.onceOf(o)), float64(o.Needs.WeftTotal)) {
				woven++
			}
		}
		got := float64(woven) / draws
		if got < 0.98 {
			open++
		}
		if math.Abs(got-o.Probability) > 4*math.Sqrt(max(got*(1-got), 0.001)/draws)+o.Bound+0.006 {
			t.Errorf("plan %d: said %.3f, woven %.3f: %+v", n, o.Probability, got, lots)
		}
		if o.Verdict == chance.Sure && got < 0.9 {
			t.Errorf("plan %d is sure, and %.3f are woven", n, got)
		}
	}
	if shared < 20 || open < 8 {
		t.Errorf("%d plans whose wefts share the pieces, %d of them in doubt", shared, open)
	}
}

// packageOf is the one package of a lot.
func packageOf(s Shelf, of stash.DyeLot) stash.PackageID {
	i := slices.IndexFunc(s.Packages, func(p stash.Package) bool { return p.InLot() == of })
	return s.Packages[i].ID
}
