package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// heap draws packages that together hold about what is wanted.
type heap struct {
	r     *rand.Rand
	packs []stash.Package
}

// of adds packages of a yarn in a colour that hold about so much, each in one of the lots.
func (h *heap) of(yarn stash.YarnID, mass measure.Mass, colour string, lots ...string) {
	total, n := float64(mass)*(0.95+0.25*h.r.Float64()), 1+h.r.IntN(4)
	for i := range n {
		p := of(fmt.Sprint(yarn, " ", colour, len(h.packs)), yarn, 0, coloured(colour))
		p.Held = measure.Mass(total / float64(n) * (0.8 + 0.4*h.r.Float64()))
		p.Received, p.Knots, p.Form = p.Held, h.r.IntN(3)*h.r.IntN(2), "cone"
		p.Step = []measure.Mass{100, 1000, 5000}[h.r.IntN(3)]
		if len(lots) > 0 {
			p.Lot = lots[i%len(lots)]
		}
		if h.r.IntN(2) == 0 {
			p.Tare = &stash.Tare{Mass: 30_000, Source: stash.TareAssumed, Spread: 5000}
		}
		h.packs = append(h.packs, p)
	}
}

// option is something that a project may want beside what drawnPlan draws.
type option struct {
	name string
	wish func(r *rand.Rand, b *stash.ProjectFacts)
	// stock adds what there is of a warp and a weft of so much.
	stock func(h *heap, b *stash.ProjectFacts, needs rich)
}

// rich is what a project needs of a shelf that has plenty.
type rich struct {
	warp, weft measure.Mass
	end, pass  measure.Length
}

// plainly is a warp of one colour and a weft of another.
func plainly(h *heap, _ *stash.ProjectFacts, n rich) {
	h.of(cotton, n.warp, "oat")
	h.of(wool, n.weft, "moss")
}

// thirds is a warp of which a third is of one colour.
func thirds(h *heap, _ *stash.ProjectFacts, n rich) {
	h.of(cotton, n.warp/3, "oat")
	h.of(cotton, n.warp-n.warp/3, "sky")
	h.of(wool, n.weft, "moss")
}

func stripes(rule stash.StripeRule, ends ...int) func(*rand.Rand, *stash.ProjectFacts) {
	return func(_ *rand.Rand, b *stash.ProjectFacts) {
		b.StripeRule = rule
		for i, n := range ends {
			b.Stripes = append(b.Stripes, stash.Stripe{Colour: []string{"oat", "sky"}[i%2], Ends: n})
		}
	}
}

func unasked(*rand.Rand, *stash.ProjectFacts) {}

// scraps are strands of so many of a length, as thrums are.
func scraps(packs []stash.Package, length measure.Length) {
	for i := range packs {
		packs[i].Longest, packs[i].Knots = length, 0
	}
}

// strandsOfWeft is told with too little, by up to tooLittle: the joins of all strands are
// charged, though not all of them are reached.
const (
	strandsOfWeft = "thrums in the weft"
	tooLittle     = 0.04
)

var options = []option{
	{"stripes in proportion", stripes(stash.StripesProportional, 1, 2), thirds},
	{"stripes in proportion, several", stripes(stash.StripesProportional, 2, 5, 3, 7, 1), thirds},
	{"free stripes", stripes(stash.StripesFree), thirds},
	{"free stripes, mirrored", func(r *rand.Rand, b *stash.ProjectFacts) {
		stripes(stash.StripesFree, 1, 1)(r, b)
		b.Symmetric = true
	}, thirds},
	{"mixed at random", stripes(stash.StripesMixed, 1, 2), thirds},
	{"lots that do not mix", func(r *rand.Rand, b *stash.ProjectFacts) {
		no := false
		b.MixLots, b.Pieces, b.Sample = &no, 1, 0 // of several, see TestEveryPieceIsOfItsOwnWeft
	}, func(h *heap, _ *stash.ProjectFacts, n rich) {
		h.of(cotton, n.warp*4/3, "oat", "A", "B", "A", "A")
		h.of(wool, n.weft*4/3, "moss", "C", "C", "D")
	}},
	{"rags", func(r *rand.Rand, b *stash.ProjectFacts) {
		b.RagPerM2 = measure.Mass(300+r.IntN(600)) * measure.Gram
		b.Picks, b.PickStrands, b.HemstitchedEdges, b.Sample = 0, 1, 0, 0
	}, plainly},
	{strandsOfWeft, unasked, func(h *heap, b *stash.ProjectFacts, n rich) {
		plainly(h, b, rich{warp: n.warp, weft: n.weft / 2})
		at := len(h.packs)
		h.of(wool, n.weft*2/3, "moss")
		scraps(h.packs[at:], n.pass*measure.Length(3+h.r.IntN(4))/2)
	}},
	{"strands in the warp", unasked, func(h *heap, b *stash.ProjectFacts, n rich) {
		plainly(h, b, rich{warp: n.warp * 2 / 3, weft: n.weft})
		at := len(h.packs)
		h.of(cotton, n.warp/2, "oat")
		scraps(h.packs[at:], n.end*measure.Length(20+h.r.IntN(60))/10)
	}},
	{"a clasped weft", func(r *rand.Rand, b *stash.ProjectFacts) {
		b.Clasped = true
		b.Weft = []stash.Ref{{Package: "left"}, {Package: "right"}}
	}, func(h *heap, _ *stash.ProjectFacts, n rich) {
		h.of(cotton, n.warp, "oat")
		for _, id := range []string{"left", "right"} {
			p := of(id, wool, 0, coloured("moss"))
			p.Held = measure.Mass(float64(n.weft) / 2 * (0.95 + 0.25*h.r.Float64()))
			p.Received, p.Step = p.Held, 1000
			h.packs = append(h.packs, p)
		}
	}},
	{"fringes that are worked", func(r *rand.Rand, b *stash.ProjectFacts) {
		b.Fringe = 0
		*[]*measure.Length{&b.Twisted, &b.Braided, &b.Knotted}[r.IntN(3)] = measure.Length(50 + r.IntN(300))
		if r.IntN(2) == 0 {
			b.OtherEnd = []*stash.Edge{{Finish: stash.EdgeNone}, {Finish: "raw", Length: 300}}[r.IntN(2)]
		}
	}, plainly},
	{"hems stitched with other yarn", func(r *rand.Rand, b *stash.ProjectFacts) {
		b.HemstitchYarn, b.HemstitchedEdges = []stash.Ref{{Package: "stitch"}}, 2
	}, func(h *heap, b *stash.ProjectFacts, n rich) {
		plainly(h, b, n)
		h.packs = append(h.packs, of("stitch", "stitching", 500))
	}},
	{"inches", func(r *rand.Rand, b *stash.ProjectFacts) {
		perInch := func(n int) measure.Sett { return measure.Sett(math.Round(float64(n) * 1e6 / 25.4)) }
		b.Sett, b.Picks = perInch(8+r.IntN(20)), perInch(8+r.IntN(20))
		b.Width, b.Length = in(float64(6+r.IntN(20))), in(float64(20+r.IntN(80)))
	}, plainly},
}

// optional draws a project with an option, and a stash about as large as it wants.
func optional(t testing.TB, r *rand.Rand, o option) (Shelf, stash.ProjectFacts) {
	_, b := drawnPlan(t, r)
	b.Warp, b.Weft, b.Stripes, b.EndStrands = yarnRef(cotton), yarnRef(wool), nil, 1
	o.wish(r, &b)
	lots := b
	lots.Stripes, lots.StripeRule, lots.Symmetric = nil, "", false
	lots.Weft = yarnRef(wool)
	much := stock(t, of("c", cotton, 60_000), of("w", wool, 60_000))
	if b.Clasped {
		lots.Weft = []stash.Ref{{Package: "left"}, {Package: "right"}}
		much = stock(t, of("c", cotton, 60_000), of("left", wool, 60_000), of("right", wool, 60_000))
	}
	want := planned(t, much.Terse(), lots)
	n := rich{end: want.Needs.WarpEnd}
	n.warp, _ = measure.MassOf(want.Needs.WarpTotal, much.Yarns[cotton].Tex())
	n.weft, _ = measure.MassOf(want.Needs.WeftTotal, much.Yarns[wool].Tex())
	n.pass = want.Needs.ClothWidth
	if b.RagPerM2 > 0 {
		n.weft = want.Needs.RagMass
	}
	h := &heap{r: r}
	o.stock(h, &b, n)
	s := stock(t, h.packs...)
	other := s.Yarns[cotton]
	other.ID = "stitching"
	s.Yarns[other.ID] = other
	if o.name == "inches" {
		s.Settings.Units = measure.Imperial
	}
	return s, b
}

// TestPlansWithEveryOptionAreWovenAsOftenAsTheySay is TestPlansAreWovenAsOftenAsTheySay for
// what a project may want beside, of plans that fit in the middle: their stripes are told.
func TestPlansWithEveryOptionAreWovenAsOftenAsTheySay(t *testing.T) {
	plans, draws := 5, 2000
	if os.Getenv("ENDSMEET_LONG") == "1" {
		plans, draws = 60, 20_000
	}
	for at, option := range options {
		open, said, woven, fit := 0, 0.0, 0.0, 0.0
		for n := range plans {
			s, b := optional(t, rand.New(rand.NewPCG(uint64(n), uint64(at)+31)), option)
			o := planned(t, s.Terse(), b)
			if o.Verdict == chance.Unknown {
				t.Fatalf("%s, plan %d: %s", option.name, n, o.Verdict)
			}
			if !o.Fits() {
				continue
			}
			got := oftenWoven(s, b, o, uint64(n), draws)
			if got > 0.02 && got < 0.98 {
				open++
			}
			fit, said, woven = fit+1, said+o.Probability, woven+got
			off := 4*math.Sqrt(max(got*(1-got), 0.001)/float64(draws)) + o.Bound + 0.004
			more := off
			if option.name == strandsOfWeft {
				more += tooLittle
			}
			if got > o.Probability+more || got < o.Probability-off {
				t.Errorf("%s, plan %d: said %.4f ± %.4f, woven %.4f: %+v", option.name, n,
					o.Probability, o.Bound, got, o.Bands)
			}
		}
		t.Logf("%s: %.0f plans, said %.3f, woven %.3f; %d open", option.name, fit, said/max(1, fit),
			woven/max(1, fit), open)
		if plans > 5 && open < 8 {
			t.Errorf("%s: only %d plans are open", option.name, open)
		}
	}
}

// oftenWoven is how often a plan is woven, of so many times, in the stripes that it tells and from
// the packages that it names.
func oftenWoven(s Shelf, b stash.ProjectFacts, o Outcome, seed uint64, draws int) float64 {
	w := weaverOf(s, o, b, seed)
	if b.StripeRule != "" {
		w.stripe = map[string]int{}
		for i, band := range o.Bands {
			w.stripe[band.Colour] += band.Ends
			if i == 0 || i == len(o.Bands)-1 {
				w.stripe[band.Colour] += b.FloatingSelvedges / 2
			}
		}
	}
	nameOnly(w, s, o)
	hits := 0
	for range draws {
		if w.weave() {
			hits++
		}
	}
	return float64(hits) / float64(draws)
}
