package making

import (
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// The yarns of these tests: 8/2 Ne cotton and 8/2 NeW wool (147.635 and
// 221.453 g/km, as testdata of package measure has them from GNU units), and a
// remnant without a count.
const (
	cotton  stash.YarnID = "cotton"
	wool    stash.YarnID = "wool"
	remnant stash.YarnID = "remnant"
)

func stockYarns(t testing.TB) map[stash.YarnID]stash.Yarn {
	yarns := map[stash.YarnID]stash.Yarn{}
	for _, y := range []struct {
		id    stash.YarnID
		name  string
		fibre string
		count measure.Count
	}{{cotton, "Ossentarn cotton", "cotton", 147_635}, {wool, "Marrow wool", "wool", 221_453},
		{remnant, "Grey remnant", "wool", 0}} {
		content, err := fibre.ParseContent(y.fibre)
		if err != nil {
			t.Fatal(err)
		}
		facts := stash.YarnFacts{Name: y.name, Fibre: content}
		if y.count > 0 {
			facts.Count = &stash.CountFact{Count: y.count, Source: measure.KnownCount}
		}
		yarns[y.id] = stash.Yarn{ID: y.id, YarnFacts: facts}
	}
	return yarns
}

// stock is a shelf that holds the packages given.
func stock(t testing.TB, packages ...stash.Package) Shelf {
	return Shelf{
		Packages: packages, Yarns: stockYarns(t), Settings: stash.DefaultSettings(),
		Claims: map[stash.PackageID]measure.Mass{},
		Now:    time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC),
	}
}

// of is a package that holds so many grams, with what changes make of it.
func of(id string, yarn stash.YarnID, grams measure.Mass,
	changes ...func(*stash.Package)) stash.Package {
	p := stash.Package{ID: stash.PackageID(id), PackageFacts: stash.PackageFacts{Yarn: yarn,
		Tag: id}}
	p.Known, p.Received, p.Held = true, grams*measure.Gram, grams*measure.Gram
	for _, change := range changes {
		change(&p)
	}
	return p
}

func lot(lot string) func(*stash.Package) { return func(p *stash.Package) { p.Lot = lot } }
func coloured(colour string) func(*stash.Package) {
	return func(p *stash.Package) { p.Colour = colour }
}

func yarnRef(ids ...stash.YarnID) []stash.Ref {
	var refs []stash.Ref
	for _, id := range ids {
		refs = append(refs, stash.Ref{Yarn: id})
	}
	return refs
}

func percentage(n int64) *measure.Ratio {
	r := measure.Ratio(n) * measure.Percent
	return &r
}

// scarf is a project whose every figure is round, so that its needs follow by
// hand from the balance of the warp: a warp end is 1800/0.9 + 150/1.05 + 450/1.05 = 2572 mm,
// 240 ends make 617.28 m, the tape reads 2000 x 1.05 = 2100 mm, 1260 picks of
// 300 mm make 378 m of weft.
func scarf() stash.ProjectFacts {
	return stash.ProjectFacts{
		Name: "scarf", Width: 300, Length: 1800, Sett: 8 * measure.PerCentimetre,
		Picks: 6 * measure.PerCentimetre, Structure: "plain",
		TakeUp: percentage(0), WeftTakeUp: percentage(0), ShrinkLength: percentage(10),
		ShrinkWidth: percentage(0),
		Stretch:     percentage(5), DrawIn: percentage(0), Fringe: 100, Bunch: 4,
		Warp: yarnRef(cotton),
		Weft: yarnRef(wool),
	}
}

func planned(t testing.TB, s Shelf, b stash.ProjectFacts) Outcome {
	t.Helper()
	o, err := Plan(s, b)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// onLoom is the piece that a project makes of a shelf.
func onLoom(t testing.TB, s Shelf, b stash.ProjectFacts) stash.Piece {
	t.Helper()
	return stash.Piece{ID: "piece", Name: b.Name + " 1", State: stash.OnLoom,
		Plan: planned(t, s, b).Record()}
}
