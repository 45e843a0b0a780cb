package share

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// asked is a shelf and a project about which every command is asked.
type asked struct {
	shelf making.Shelf
	b     stash.Project
}

// The yarns of a drawn shelf, and the colours that there are of each.
var (
	drawnYarns = []stash.YarnID{"oat", "slate", "moss"}
	colours    = []string{"oat", "sky"}
)

// drawnShelf is a shelf without packages.
func drawnShelf(r *rand.Rand) making.Shelf {
	s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}, Now: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)}
	content, _ := fibre.ParseContent("cotton 100")
	for _, id := range drawnYarns {
		y := stash.Yarn{ID: id}
		y.Name, y.Fibre, y.PutUp = string(id), content, 100*measure.Gram
		y.Count = &stash.CountFact{Count: measure.Count(100+r.IntN(150)) * measure.Tex,
			Source: measure.Label}
		s.Yarns[id] = y
	}
	return s
}

func pack(id string, yarn stash.YarnID, colour string, held measure.Mass) stash.Package {
	p := stash.Package{ID: stash.PackageID(id)}
	p.Yarn, p.Tag, p.Colour, p.Known, p.Held, p.Received = yarn, id, colour, true, held, held
	p.Step, p.Form = measure.Gram/10, "ball"
	return p
}

// anyAsked draws a project with any option, and a shelf that holds about what it takes.
func anyAsked(t *testing.T, r *rand.Rand) asked {
	a := asked{drawnShelf(r), stash.Project{ID: "project"}}
	a.drawProject(r)
	rich := a.shelf
	for _, id := range drawnYarns {
		for _, c := range colours {
			rich.Packages = append(rich.Packages, pack(string(id)+" "+c, id, c, 30_000*measure.Gram))
		}
	}
	want, err := making.Plan(rich.Terse(), a.b.ProjectFacts)
	if err != nil {
		t.Fatal(err)
	}
	if r.IntN(8) == 0 { // a loom that hardly takes it
		a.shelf.Settings.LongestWarp = want.Wind.Middle +
			(want.Wind.Long-want.Wind.Middle)*measure.Length(r.IntN(4))/4
	}
	for _, one := range want.Allotments {
		p, _ := rich.Find(one.Package)
		a.balls(r, p, one.Mass)
	}
	return a
}

// balls puts about so much like a package on the shelf, in several lots.
func (a *asked) balls(r *rand.Rand, like stash.Package, mass measure.Mass) {
	total := float64(mass) * (1 + r.Float64()*r.Float64())
	n := 1 + r.IntN(5)
	for i := range n {
		p := like
		p.ID = stash.PackageID(fmt.Sprint(like.ID, " ", i))
		p.Tag = string(p.ID)
		p.Held = measure.Mass(total / float64(n) * (0.7 + 0.6*r.Float64()))
		p.Received, p.Lot = p.Held, []string{"", "A", "A", "B"}[r.IntN(4)]
		p.Knots = r.IntN(3) * r.IntN(2) * r.IntN(2)
		p.Step = []measure.Mass{100, 1000, 5000}[r.IntN(3)]
		if r.IntN(3) == 0 {
			p.Tare = &stash.Tare{Mass: 30_000, Source: stash.TareAssumed, Spread: 5000}
		}
		if r.IntN(10) == 0 {
			p.Longest = measure.Length(300 + r.IntN(2000))
		}
		if r.IntN(12) == 0 {
			a.shelf.Claims[p.ID] = p.Held / 3
		}
		if r.IntN(20) == 0 {
			p.LentTo = "Ada"
		}
		a.shelf.Packages = append(a.shelf.Packages, p)
	}
}

// drawProject draws the facts of the project.
func (a *asked) drawProject(r *rand.Rand) {
	b := &a.b.ProjectFacts
	b.Name, b.Structure = "project", []string{"plain", "2/2 twill"}[r.IntN(2)]
	b.Width, b.Length = measure.Length(100+r.IntN(500)), measure.Length(300+r.IntN(1800))
	b.Sett = measure.Sett(4+r.IntN(5)) * measure.PerCentimetre
	b.Picks = measure.Sett(4+r.IntN(5)) * measure.PerCentimetre
	b.Pieces = 1 + r.IntN(2)*r.IntN(3)
	if r.IntN(3) == 0 {
		inches := func(l measure.Length) measure.Length { return (l + 25) / 25 * 254 / 10 }
		a.shelf.Settings.Units = measure.Imperial
		b.Width, b.Length = inches(b.Width), inches(b.Length)
	}
	b.Warp = []stash.Ref{{Yarn: drawnYarns[r.IntN(3)]}}
	weft := r.IntN(3)
	b.Weft = []stash.Ref{{Yarn: drawnYarns[weft]}}
	if r.IntN(6) == 0 {
		b.Weft, b.Clasped = append(b.Weft, stash.Ref{Yarn: drawnYarns[(weft+1)%3]}), true
	}
	for _, l := range []**measure.Ratio{&b.TakeUp, &b.WeftTakeUp, &b.ShrinkLength, &b.ShrinkWidth,
		&b.Stretch, &b.DrawIn} {
		if given := measure.Ratio(1+r.IntN(8)) * measure.Percent; r.IntN(4) == 0 {
			*l = &given
		}
	}
	if mix := r.IntN(2) == 0; r.IntN(2) == 0 {
		b.MixLots = &mix
	}
	drawEdges(r, b)
	drawStripes(r, b)
}

func drawEdges(r *rand.Rand, b *stash.ProjectFacts) {
	some := func(n int) int { return r.IntN(2) * r.IntN(n) }
	switch r.IntN(4) {
	case 0:
		b.Hem = measure.Length(10 + r.IntN(60))
	case 1:
		b.Fringe, b.Bunch = measure.Length(20+r.IntN(200)), 1+r.IntN(6)
	case 2:
		b.Twisted, b.Bunch = measure.Length(20+r.IntN(120)), 2+r.IntN(5)
	}
	if b.HemstitchedEdges = some(3); b.HemstitchedEdges > 0 && r.IntN(3) == 0 {
		b.HemstitchYarn = []stash.Ref{{Yarn: drawnYarns[r.IntN(3)]}}
	}
	b.FloatingSelvedges = 2 * r.IntN(2)
	b.Sample, b.Header = measure.Length(some(200)), measure.Length(some(60))
	b.Loops, b.EndStrands, b.PickStrands = r.IntN(4) == 0, 1+some(2), 1+some(2)
}

func drawStripes(r *rand.Rand, b *stash.ProjectFacts) {
	of := func(least, more int) (out []stash.Stripe) {
		for _, c := range colours {
			out = append(out, stash.Stripe{Colour: c, Ends: least + r.IntN(more)})
		}
		return out
	}
	switch r.IntN(8) {
	case 0:
		b.Stripes, b.Width = of(10, 50), 0
		for _, one := range b.Stripes {
			b.Width += measure.Length(float64(one.Ends) / b.Sett.PerMM())
		}
	case 1:
		b.Stripes, b.StripeRule = of(1, 3), stash.StripesProportional
	case 2:
		b.StripeRule, b.Symmetric, b.LeastStripe = stash.StripesFree, r.IntN(4) == 0, r.IntN(8)
	}
}

// ballsOfColours draws a project of free stripes, and a shelf of small balls, each of a
// colour of its own, with a cone for the weft.
func ballsOfColours(r *rand.Rand) asked {
	a := asked{drawnShelf(r), projectOf("stripes", 80+r.Int64N(200), 600+r.Int64N(900), "oat", "moss")}
	b := &a.b.ProjectFacts
	b.StripeRule, b.Symmetric, b.LeastStripe = stash.StripesFree, r.IntN(4) == 0, r.IntN(8)
	for i := range 3 + r.IntN(6) {
		id := fmt.Sprint("ball ", i)
		a.shelf.Packages = append(a.shelf.Packages,
			pack(id, "oat", id, measure.Mass(5+r.IntN(25))*measure.Gram))
	}
	a.shelf.Packages = append(a.shelf.Packages, pack("cone", "moss", "oat", 400*measure.Gram))
	slices.SortFunc(a.shelf.Packages, func(p, q stash.Package) int { return int(q.Held - p.Held) })
	return a
}
