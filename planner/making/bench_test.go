package making

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// hoard is a project with a stash of so many balls and cones about as large as it wants, some
// knotted, on scales and tares of every kind; where both, of one yarn that is warp and weft.
func hoard(t testing.TB, r *rand.Rand, packages int, both bool) (Shelf, stash.ProjectFacts) {
	b := scarf()
	mix := true
	b.Warp, b.Weft, b.MixLots = yarnRef(cotton), yarnRef(wool), &mix
	b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.ShrinkWidth, b.Stretch, b.DrawIn = nil, nil, nil, nil,
		nil, nil
	b.Width, b.Length = measure.Length(700+r.IntN(700)), measure.Length(1500+r.IntN(2500))
	if both {
		b.Weft = b.Warp
	}
	rich := stock(t, of("c", cotton, 300_000), of("w", wool, 300_000))
	want := planned(t, rich.Terse(), b).Needs
	h := heap{r: r}
	for role, length := range []measure.Length{want.WarpTotal, want.WeftTotal} {
		yarn := []stash.YarnID{cotton, b.Weft[0].Yarn}[role]
		mass, _ := measure.MassOf(length, rich.Yarns[yarn].Tex())
		for range packages / 2 {
			p := of(fmt.Sprint(yarn, len(h.packs)), yarn, 0)
			p.Held = measure.Mass(float64(mass) / float64(packages/2) * (0.8 + 0.6*r.Float64()))
			p.Received, p.Knots, p.Form = p.Held, r.IntN(3)*r.IntN(2), "cone"
			p.Step = []measure.Mass{100, 1000}[r.IntN(2)]
			if r.IntN(4) == 0 {
				p.Tare = &stash.Tare{Mass: 1000, Source: stash.TareAssumed, Spread: 200}
			}
			h.packs = append(h.packs, p)
		}
	}
	return stock(t, h.packs...), b
}

// BenchmarkPlanOfManyPackages plans from hundreds of them.
func BenchmarkPlanOfManyPackages(b *testing.B) {
	for _, packages := range []int{250, 500, 750} {
		for _, both := range []bool{false, true} {
			b.Run(fmt.Sprintf("%d, both %v", packages, both), func(b *testing.B) {
				s, project := hoard(b, rand.New(rand.NewPCG(uint64(packages), 1)), packages, both)
				for b.Loop() {
					planned(b, s, project)
				}
			})
		}
	}
}
