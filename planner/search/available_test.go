package search

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// worn is a random shelf on which packages are lent, retired, in quarantine,
// promised and kept, and yarns perished or unfit.
func worn(t *rapid.T) making.Shelf {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	s := randomShelf(r, 1+r.IntN(12), 1+r.IntN(40))
	s.Now = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for id, y := range s.Yarns {
		switch r.IntN(6) {
		case 0:
			y.Hazards = []string{"perished"}
		case 1:
			y.Fit = stash.FitDiscard
		case 2:
			y.Hazards = []string{"latex"}
		}
		s.Yarns[id] = y
	}
	for i := range s.Packages {
		p := &s.Packages[i]
		p.Acquired = []string{"", "2010", "2025-05"}[r.IntN(3)]
		switch r.IntN(8) {
		case 0:
			p.Retired, p.Held = true, 0
		case 1:
			p.Quarantine = &stash.Quarantine{Since: "2026-01-01",
				Until: []string{"", "2026-02-01"}[r.IntN(2)]}
		case 2:
			p.Reserve = &stash.Reserve{Mass: measure.Mass(r.IntN(200)) * measure.Gram}
		case 3:
			s.Claims[p.ID] = measure.Mass(r.IntN(200)) * measure.Gram
		case 4:
			p.Held = -measure.Mass(r.IntN(3)) * measure.Gram
		}
	}
	return s
}

// model says what is available of a package in the fewest words.
func model(s making.Shelf, p stash.Package) measure.Mass {
	y := s.Yarns[p.Yarn]
	old := slices.Contains(y.Hazards, "latex") && p.Acquired == "2010"
	kept := p.Quarantine != nil // until it is lifted
	if !p.Known || p.Retired || p.LentTo != "" || kept || old ||
		slices.Contains(y.Hazards, "perished") || y.Fit == stash.FitDiscard {
		return 0
	}
	left := p.Held - s.Claims[p.ID]
	if p.Reserve != nil {
		left -= p.Reserve.Mass
	}
	return max(0, left)
}

func TestWhatIsAvailableAddsUpTheSameEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := worn(t)
		var listed, planned, modelled, before measure.Mass
		for _, p := range s.Packages {
			y := s.Yarns[p.Yarn]
			listed += stash.AmountOf(p, y.YarnFacts, s.Settings, s.Claims[p.ID], s.Now).Available
			planned += s.Available(p)
			modelled += model(s, p)
			before += stash.AvailableOf(p, y.YarnFacts, 0, s.Now) // what promises are kept out of
		}
		if listed != modelled || planned != modelled || before < listed {
			t.Fatalf("list %d, plan %d, model %d, before promises %d", listed, planned, modelled,
				before)
		}
		q := Query{Kind: usualKind("runner"), Weights: usualWeights}
		st := NewStock(s, q)
		g := st.gather(q, st.newFigurer(q.Kind))
		if got := inLots(t, s, g); got != modelled {
			t.Fatalf("fits has %d, list %d", got, modelled)
		}
	})
}

// inLots adds up what the search has in lots and what it leaves out with yarn in
// it; each package is in one of them, once.
func inLots(t *rapid.T, s making.Shelf, g *gathering) measure.Mass {
	seen, sum := map[stash.PackageID]int{}, measure.Mass(0)
	take := func(id stash.PackageID, lot bool) {
		p, _ := s.Find(id)
		seen[id]++
		sum += s.Available(p)
		if lot && s.Bar(p) != "" {
			t.Fatalf("%s is in a lot, and %s", p.Label(), s.Barred(p))
		}
	}
	for _, l := range g.all() {
		for _, p := range l.packs {
			take(p.id, true)
		}
	}
	for _, l := range g.leftOut {
		take(l.ID, false)
	}
	for _, p := range s.Packages {
		if want := map[bool]int{true: 0, false: 1}[p.Retired]; seen[p.ID] != want {
			t.Fatalf("%s is counted %d times", p.Label(), seen[p.ID])
		}
	}
	return sum
}
