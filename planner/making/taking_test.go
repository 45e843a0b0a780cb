package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// lotsShelf draws a project whose warp and weft are named in lots that together are about
// enough, each of which may be enough alone.
func lotsShelf(t *testing.T, r *rand.Rand) (Shelf, stash.ProjectFacts) {
	b := scarf()
	b.Warp, b.Weft = yarnRef(cotton), yarnRef(wool)
	b.Width, b.Length = measure.Length(200+r.IntN(500)), measure.Length(600+r.IntN(1500))
	b.Pieces = 1 + r.IntN(2)*r.IntN(2)
	if b.TakeUp, b.Stretch, b.ShrinkLength, b.DrawIn = nil, nil, nil, nil; r.IntN(3) == 0 {
		mix := r.IntN(2) == 0
		b.MixLots = &mix
	}
	rich := stock(t, of("c", cotton, 30_000), of("w", wool, 30_000))
	want := planned(t, rich, b)
	var packs []stash.Package
	for yarn, need := range map[stash.YarnID]measure.Length{cotton: want.Needs.WarpTotal,
		wool: want.Needs.WeftTotal} {
		mass, _ := measure.MassOf(need, rich.Yarns[yarn].Tex())
		for i := range 1 + r.IntN(3) {
			p := of(fmt.Sprint(yarn, i), yarn, 0, lot([]string{"A", "B"}[r.IntN(2)]))
			p.Held = measure.Mass(float64(mass) * (0.2 + 1.1*r.Float64()))
			p.Received = p.Held
			packs = append(packs, p)
		}
	}
	slices.SortFunc(packs, func(a, b stash.Package) int { return strings.Compare(string(a.ID), string(b.ID)) })
	s := stock(t, packs...)
	if r.IntN(3) == 0 { // a loom that hardly takes it
		s.Settings.LongestWarp = want.Wind.Middle + (want.Wind.Long-want.Wind.Middle)*measure.Length(r.IntN(4))/4
	}
	return s, b
}

// TestTheChanceIsOfTheYarnThatIsNamed weaves random plans of several dye lots from what their
// lines name and nothing else: what each package gives, and what goes on where it runs out.
// No chance is more than that comes to; none is almost certain beside a note that half of
// such pieces need more.
func TestTheChanceIsOfTheYarnThatIsNamed(t *testing.T) {
	const draws = 2000
	meet, later := 0, 0
	for n := range 120 {
		s, b := lotsShelf(t, rand.New(rand.NewPCG(uint64(n), 3)))
		o, err := Plan(s, b)
		if err != nil {
			continue // the loom does not take it at all
		}
		half := slices.ContainsFunc(o.Notes, func(n string) bool {
			return strings.Contains(n, "half of such pieces need more")
		})
		if half && o.Verdict == chance.Sure {
			t.Errorf("plan %d: %.4f, and %q", n, o.Probability, o.Notes)
		}
		if !o.Fits() || o.Probability < 0.05 {
			continue
		}
		w := weaverOf(s, o, b, uint64(n))
		lots := nameOnly(w, s, o)
		if lots && b.MixLots == nil {
			meet++
			if len(o.LotChanges) == 0 {
				t.Errorf("plan %d takes several lots in a role and says nothing: %+v", n, o.Allotments)
			}
		}
		later += len(o.Further)
		woven := 0
		for range draws {
			if w.weave() {
				woven++
			}
		}
		got := float64(woven) / draws
		if allowed := 4*math.Sqrt(max(got*(1-got), 0.001)/draws) + o.Bound + 0.004; o.Probability > got+allowed {
			t.Errorf("plan %d: said %.4f, of what is named %.4f are woven: %+v, %+v", n, o.Probability,
				got, o.Allotments, o.Further)
		}
	}
	if meet < 5 || later < 5 {
		t.Errorf("%d plans of several lots, %d packages that go on", meet, later)
	}
}

// nameOnly leaves a weaver what a plan names, and says whether lots meet in a role.
func nameOnly(w *weaver, s Shelf, o Outcome) bool {
	lots := map[stash.Role]map[string]bool{stash.RoleWarp: {}, stash.RoleWeft: {}}
	for i := range w.packages {
		p := s.Packages[i]
		as := func(role stash.Role, gives func(stash.Allotment) measure.Length) bool {
			named := slices.ContainsFunc(o.Allotments, func(a stash.Allotment) bool {
				return a.Package == p.ID && gives(a) > 0
			}) || slices.ContainsFunc(o.Further, func(f Further) bool {
				return f.Package == p.ID && f.Role == role
			})
			if named {
				lots[role][p.Lot] = true
			}
			return named
		}
		k := &w.packages[i]
		k.warp = as(stash.RoleWarp, func(a stash.Allotment) measure.Length { return a.Warp })
		k.weft = as(stash.RoleWeft, func(a stash.Allotment) measure.Length { return a.Weft })
	}
	return len(lots[stash.RoleWarp]) > 1 || len(lots[stash.RoleWeft]) > 1 && o.Project.Pieces == 1
}
