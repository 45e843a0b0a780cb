package share

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// shelfOf makes a shelf of two cottons, a worsted and a superwash wool.
func shelfOf(r *rand.Rand, packages int) making.Shelf {
	s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}}
	for id, content := range map[stash.YarnID]string{"oat": "cotton 100", "slate": "cotton 100",
		"moss": "wool 100", "sky": "wool (merino superwash) 100"} {
		y := stash.Yarn{ID: id}
		y.Name, y.Count, y.PutUp = string(id), &stash.CountFact{Count: 150 * measure.Tex,
			Source: measure.Label}, 100*measure.Gram
		y.Fibre, _ = fibre.ParseContent(content)
		s.Yarns[id] = y
	}
	for i := range packages {
		p := stash.Package{ID: stash.PackageID(fmt.Sprintf("pack%02d", i))}
		p.Yarn, p.Tag, p.Lot = []stash.YarnID{"oat", "slate", "moss", "sky"}[i%4],
			fmt.Sprintf("P%d", i), []string{"1", "2"}[r.IntN(2)]
		p.Known, p.Held, p.Step = true, measure.Mass(10+r.IntN(40))*measure.Gram, measure.Gram
		s.Packages = append(s.Packages, p)
	}
	return s
}

func projectOf(name string, width, length int64, warp, weft stash.YarnID) stash.Project {
	b := stash.Project{ID: stash.ProjectID(name)}
	b.Name, b.Width, b.Length = name, measure.Length(width), measure.Length(length)
	b.LeastWidth, b.LeastLength = b.Width*7/10, b.Length*7/10
	b.Sett, b.Picks, b.Structure, b.Fringe = 6*measure.PerCentimetre, 6*measure.PerCentimetre,
		"plain", 100
	b.Warp, b.Weft = []stash.Ref{{Yarn: warp}}, []stash.Ref{{Yarn: weft}}
	return b
}

func TestAPlanKeepsToTheYarnThereIs(t *testing.T) {
	made, unmade, bought := 0, 0, 0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 3))
		shelf := shelfOf(r, 8+r.IntN(16))
		var wants []Want
		yarns := []stash.YarnID{"oat", "slate", "moss"}
		for i := range 2 + r.IntN(5) {
			b := projectOf(fmt.Sprintf("project %d", i), 150+r.Int64N(400), 400+r.Int64N(1500),
				yarns[r.IntN(3)], yarns[r.IntN(3)])
			mix := false // so that each piece keeps to one lot of each yarn
			b.MixLots = &mix
			wants = append(wants, Want{Project: b, Priority: 1 + r.IntN(3)})
		}
		plan, err := Allot(context.Background(), shelf, wants, ByPiece, 0)
		if err != nil || !plan.Proven {
			t.Fatal(seed, err)
		}
		used, value := map[stash.PackageID]measure.Mass{}, int64(0)
		for _, p := range plan.Pieces {
			value += p.Value
			if !p.Made {
				unmade++
				bought += len(p.Buys)
				continue
			}
			made++
			holdPiece(t, shelf, p, used)
		}
		if value != plan.Value {
			t.Errorf("seed %d: the pieces are worth %d, the plan %d", seed, value, plan.Value)
		}
		for _, p := range shelf.Packages {
			if used[p.ID] > p.Held {
				t.Errorf("seed %d: %s gives %d mg of %d", seed, p.Tag, used[p.ID], p.Held)
			}
		}
	}
	if made < 20 || unmade < 20 || bought < 10 {
		t.Fatalf("%d made, %d not made, %d to buy", made, unmade, bought)
	}
}

// holdPiece checks one piece against its own needs and adds up what it uses.
func holdPiece(t *testing.T, shelf making.Shelf, p Piece, used map[stash.PackageID]measure.Mass) {
	t.Helper()
	ends, weft := 0, measure.Length(0)
	lots := map[string]bool{}
	for _, a := range p.Outcome.Allotments {
		used[a.Package] += a.Mass
		ends += a.Ends
		weft += a.Weft
		pack, _ := shelf.Find(a.Package)
		if a.Ends > 0 {
			lots[string(pack.Yarn)+pack.Lot] = true
		}
		if a.Warp != measure.Length(a.Ends)*p.Outcome.Needs.WarpEnd {
			t.Errorf("%s: %d ends are %d mm, each is %d", p.Want.Project.Name, a.Ends, a.Warp,
				p.Outcome.Needs.WarpEnd)
		}
	}
	n := p.Outcome.Needs
	if ends != n.Windings || weft < n.WeftTotal || len(lots) != 1 || p.Outcome.Probability < 0.95 {
		t.Errorf("%s: %d ends of %d, weft %d of %d, %d warp lots, probability %.3f",
			p.Want.Project.Name, ends, n.Windings, weft, n.WeftTotal, len(lots),
			p.Outcome.Probability)
	}
}

func TestWhatKeepsAProjectFromBeingMadeIsSaid(t *testing.T) {
	shelf := shelfOf(rand.New(rand.NewPCG(1, 1)), 8)
	for i := range shelf.Packages {
		shelf.Packages[i].Held, shelf.Packages[i].Lot = 80*measure.Gram, "1"
	}
	a, b := projectOf("first", 300, 1500, "oat", "oat"),
		projectOf("second", 300, 1500, "oat", "oat")
	felts := projectOf("felts", 200, 800, "moss", "sky")
	vast := projectOf("vast", 600, 6000, "slate", "slate")
	a.LeastWidth, a.LeastLength, b.LeastWidth, b.LeastLength = a.Width, a.Length, b.Width, b.Length
	plan, err := Allot(context.Background(), shelf, []Want{{Project: a, Priority: 2}, {Project: b},
		{Project: felts}, {Project: vast}}, ByPiece, 0)
	if err != nil || !plan.Proven {
		t.Fatal(err)
	}
	first, second, third, fourth := plan.Pieces[0], plan.Pieces[1], plan.Pieces[2], plan.Pieces[3]
	if !first.Made || second.Made || len(second.Rivals) != 1 || second.Rivals[0] != "first" {
		t.Errorf("second: made %v, rivals %v, %s", second.Made, second.Rivals, second.Why)
	}
	if len(second.Buys) == 0 || second.Buys[0].Lot != "1" || second.Buys[0].Packages < 1 {
		t.Errorf("to buy: %+v", second.Buys)
	}
	if third.Made || third.Why == "" || len(third.Rivals) > 0 {
		t.Errorf("felts: %+v", third.Why)
	}
	if fourth.Made || fourth.Why == "" || len(fourth.Buys) == 0 {
		t.Errorf("vast: made %v, why %q, %+v", fourth.Made, fourth.Why, fourth.Buys)
	}
}

// TestWhatCountsIsWhatTheWeaverSays: of 310 g a shawl that takes 285 g and may take
// 305, or four mug rugs of about 10 g each.
func TestWhatCountsIsWhatTheWeaverSays(t *testing.T) {
	shelf := shelfOf(rand.New(rand.NewPCG(1, 1)), 4)
	shelf.Packages = shelf.Packages[:1]
	shelf.Packages[0].Held = 310 * measure.Gram
	shawl := projectOf("shawl", 500, 2000, "oat", "oat")
	shawl.LeastWidth, shawl.LeastLength = 0, 0
	wants := []Want{{Project: shawl, Priority: 3}}
	for i := range 4 {
		rug := projectOf(fmt.Sprintf("mug rug %d", i), 120, 120, "oat", "oat")
		rug.Fringe, rug.LeastWidth, rug.LeastLength = 20, 0, 0
		wants = append(wants, Want{Project: rug})
	}
	made := func(by Worth) string {
		plan, err := Allot(context.Background(), shelf, wants, by, 0)
		if err != nil || !plan.Proven || plan.Bound != plan.Value {
			t.Fatal(err, plan.Value, plan.Bound)
		}
		out := ""
		for _, p := range plan.Pieces {
			out += map[bool]string{true: "x", false: "-"}[p.Made]
		}
		return out
	}
	for _, want := range []struct {
		by   Worth
		must int
		made string
	}{{ByCloth, -1, "x----"}, {ByPiece, -1, "-xxxx"}, {ByPiece, 0, "x----"},
		{ByCloth, 2, "-xxxx"}} {
		for i := range wants {
			wants[i].Must = i == want.must
		}
		if got := made(want.by); got != want.made {
			t.Errorf("by %s, must %d: made %s, want %s", want.by, want.must, got, want.made)
		}
	}
}

// TestManyProjectsOnFewLotsAreBoundedClosely: where too many ways of filling a
// block are there to be listed, prices by length keep the bound near.
func TestManyProjectsOnFewLotsAreBoundedClosely(t *testing.T) {
	shelf := shelfOf(rand.New(rand.NewPCG(2, 1)), 32)
	var wants []Want
	packs := shelf.Packages[:0]
	for _, p := range shelf.Packages {
		if p.Yarn == "oat" {
			p.Held, p.Lot = p.Held*5, fmt.Sprint(len(packs)%4)
			packs = append(packs, p)
		}
	}
	shelf.Packages = packs
	for i := range 14 {
		b := projectOf(fmt.Sprintf("piece %d", i), int64(200+20*i), int64(1000+90*i), "oat", "oat")
		wants = append(wants, Want{Project: b})
	}
	for _, by := range []Worth{ByCloth, ByPiece} {
		plan, err := Allot(context.Background(), shelf, wants, by, 1500)
		if err != nil || plan.Value == 0 || plan.Gap > 0.025 {
			t.Errorf("by %s: worth %d of at most %d, gap %.3f, %v", by, plan.Value, plan.Bound,
				plan.Gap, err)
		}
	}
}
