package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"

	"endsmeet/planner/chance"
	"endsmeet/planner/learn"
	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// weaver draws what a plan may come to and weaves it, end by end and by the metre of
// weft, without a line of the planner: from the project, the doubts that are stated and
// the stash alone.
type weaver struct {
	r *rand.Rand
	b stash.ProjectFacts // every loss filled in
	// along and across are how the losses err together; nothing errs unless it is doubtful
	along, across *mat.Cholesky
	doubtful      bool
	packages      []stored
	s             Shelf
	ends          int
	stripe        map[string]int           // ends by colour; nil where any package will do
	known         map[stash.YarnID]float64 // how far counts are off; nil to be drawn
	rag           float64                  // mm of a mg of the weft
	pass          float64                  // one throw of the shuttle
	anyThrums     bool
}

// drawn are the logarithms of one piece about their means, as they err together.
func (w *weaver) drawn(chol *mat.Cholesky) []float64 {
	out := make([]float64, levels.N)
	if !w.doubtful {
		return out
	}
	return distmv.NormalRand(out, make([]float64, levels.N), chol, w.r)
}

// together is how the logarithms of a forecast err together.
func together(f levels.Forecast) *mat.Cholesky {
	_, cov := f.Moments()
	c := mat.NewSymDense(levels.N, nil)
	for i := range cov {
		for j := i; j < levels.N; j++ {
			c.SetSym(i, j, cov[i][j])
		}
		c.SetSym(i, i, cov[i][i]+1e-12)
	}
	var chol mat.Cholesky
	if !chol.Factorize(c) {
		panic("no covariance")
	}
	return &chol
}

// gains and loses are a ratio whose logarithm moved.
func gains(mean *measure.Ratio, by float64) float64 { return (1+mean.Float())*math.Exp(by) - 1 }
func loses(mean *measure.Ratio, by float64) float64 { return 1 - (1-mean.Float())*math.Exp(-by) }

// strand is an unbroken length of yarn.
type strand struct {
	length     float64
	of         stash.DyeLot
	id         stash.PackageID
	warp, weft bool
}

// stored is what is the same of a package in every piece that is drawn.
type stored struct {
	stash.Amount
	strand
	yarn   stash.YarnID
	form   string // of which the tares err together
	knots  int
	apart  float64 // thrums: each piece is so long
	perTex float64 // mm of a mg
}

// holding are the packages of a weaver.
func (w *weaver) holding() []stored {
	named := func(refs []stash.Ref, p stash.Package) bool {
		return slices.ContainsFunc(refs, func(r stash.Ref) bool {
			return r.Package == p.ID || r.Package == "" && r.Yarn == p.Yarn
		})
	}
	var all []stored
	for _, p := range w.s.Packages {
		y := w.s.Yarns[p.Yarn]
		all = append(all, stored{
			Amount: stash.AmountOf(p, y.YarnFacts, w.s.Settings, 0, w.s.Now),
			strand: strand{warp: named(w.b.Warp, p), weft: named(w.b.Weft, p), of: p.InLot(), id: p.ID},
			yarn:   p.Yarn, form: fmt.Sprint(p.Yarn, p.Form), knots: p.Knots, apart: float64(p.Longest),
			perTex: 1e6 / float64(y.Count.Count)})
	}
	return all
}

// yarn draws what the packages really hold, cut at their knots.
func (w *weaver) yarn() []strand {
	var out []strand
	room, count := w.r.NormFloat64(), map[stash.YarnID]float64{}
	tare := map[string]float64{}
	for _, p := range w.packages {
		if _, drawn := count[p.yarn]; !drawn {
			count[p.yarn] = p.Count.Float() * w.r.NormFloat64()
		}
		if off, given := w.known[p.yarn]; given {
			count[p.yarn] = off
		}
		if _, drawn := tare[p.form]; !drawn {
			tare[p.form] = w.r.NormFloat64()
		}
		mg := float64(p.Available) + float64(p.Reading)*w.r.NormFloat64() +
			float64(p.Tare)*tare[p.form]
		if w.b.RagPerM2 == 0 || p.warp { // rags go by mass
			mg += float64(p.Available) * count[p.yarn]
		}
		mg += float64(p.Available) * p.Room.Float() * room
		length := max(0, mg*p.perTex)
		one := p.strand
		for one.length = p.apart; p.apart > 0 && length >= p.apart; length -= p.apart {
			out = append(out, one)
		}
		if !one.warp { // weft is joined anyhow
			one.length = length
			out = append(out, one)
			continue
		}
		cuts := []float64{0, length}
		for range p.knots {
			cuts = append(cuts, w.r.Float64()*length)
		}
		slices.Sort(cuts)
		for i := 1; i < len(cuts); i++ {
			one.length = cuts[i] - cuts[i-1]
			out = append(out, one)
		}
	}
	return out
}

// weave draws one piece and says whether the yarn was enough.
func (w *weaver) weave() bool {
	wasted := 0.0
	if w.doubtful {
		wasted = 30 * w.r.NormFloat64()
	}
	return w.weaveAs(w.drawn(w.along), w.drawn(w.across), wasted)
}

// weaveAs weaves a piece whose logarithms are so far from their means (strain, straight,
// bend, washing; draw-in, washing, weft, picks), with so much more waste.
func (w *weaver) weaveAs(l, across4 []float64, wasted float64) bool {
	end, weft := w.takes(l, across4, wasted)
	return w.wound(w.yarn(), end, weft)
}

// takes is how long an end of such pieces is, and all of their weft.
func (w *weaver) takes(l, across4 []float64, wasted float64) (end, weft float64) {
	b := w.b
	beat := gains(b.Beat, across4[3])
	take, across := gains(b.TakeUp, l[1]+l[2]), gains(b.WeftTakeUp, across4[2])
	wet, stretch, taut := loses(b.ShrinkLength, l[3]), gains(b.Stretch, l[0]+l[2]),
		1+gains(b.Strain, l[0])
	draw := loses(b.DrawIn, across4[0])
	n := float64(max(1, b.Pieces))
	first, other := w.fringes()
	relaxed := float64(b.Length+b.Hem) / (1 - wet)
	end = n*relaxed*(1+take) + (n-1)*(first+other) + math.Max(first, 150/taut) +
		math.Max(other, (450+wasted)/taut) + float64(b.Sample+b.Header)
	width := float64(w.ends-b.FloatingSelvedges) / (float64(b.Sett) / 1e6) * (1 - draw)
	picks := math.Ceil(relaxed * (1 + stretch) * float64(b.Picks) / 1e6 * (1 + beat))
	shed := float64(max(1, b.PickStrands))
	if b.Clasped {
		shed *= 2
	}
	weft = n * picks * shed * width * (1 + across)
	if len(b.HemstitchYarn) == 0 {
		weft += n * float64(b.HemstitchedEdges) * 4 * width
	}
	if b.RagPerM2 > 0 { // mg of a m², a km of which weighs so many
		square := n * float64(b.Length+b.Hem) * width * (1 - loses(b.ShrinkWidth, across4[1])) / 1e6
		return end, square * float64(b.RagPerM2) * w.rag
	}
	w.pass = width * (1 + across)
	if b.Sample > 0 {
		weft += math.Ceil(float64(b.Sample)*float64(b.Picks)/1e6*(1+beat)) * shed * width * (1 +
			across)
	}
	return end, weft
}

// fringes are what is left for the fringes of both ends of a piece before they are worked.
func (w *weaver) fringes() (first, other float64) {
	set := w.s.Settings
	raw := func(length measure.Length, loss measure.Ratio) float64 {
		return float64(length+set.Knot+set.Trim) / (1 - loss.Float())
	}
	switch b := w.b; {
	case b.Twisted > 0:
		first = raw(b.Twisted, set.TwistLoss)
	case b.Braided > 0:
		first = raw(b.Braided, set.BraidLoss)
	case b.Knotted > 0:
		first = raw(b.Knotted, set.KnotLoss)
	default:
		first = float64(b.Fringe)
	}
	if other = first; w.b.OtherEnd != nil { // none, or a raw one
		other = float64(w.b.OtherEnd.Length)
	}
	return first, other
}

// wound winds the ends from the strands, those that serve the warp alone first, and
// throws the weft from what is left.
func (w *weaver) wound(yarn []strand, end, weft float64) bool {
	per := 1
	if w.b.Loops {
		per = 2
	}
	need := w.stripe
	if need == nil {
		need = map[string]int{"": w.ends}
	}
	for colour, ends := range need {
		left := (ends*max(1, w.b.EndStrands) + per - 1) / per
		for pass := range 2 {
			for i := range yarn {
				s := &yarn[i]
				if !s.warp || s.weft != (pass == 1) || w.stripe != nil && s.of.Colour != colour {
					continue
				}
				n := min(left, int(s.length/(end*float64(per))))
				s.length -= float64(n) * end * float64(per)
				left -= n
			}
		}
		if left > 0 {
			return false
		}
	}
	if w.b.Clasped {
		left := func(s strand) bool { return s.id == w.b.Weft[0].Package }
		right := func(s strand) bool { return s.id == w.b.Weft[1].Package }
		return w.thrown(yarn, weft/2, left) && w.thrown(yarn, weft/2, right)
	}
	return w.thrown(yarn, weft, func(strand) bool { return true })
}

// thrown says whether strands are enough for so much weft; one that is shorter than a throw of
// the shuttle once it is joined weaves nothing.
func (w *weaver) thrown(yarn []strand, weft float64, of func(strand) bool) bool {
	join, joined := float64(w.s.Settings.Join), 0.0
	for _, s := range yarn {
		if !s.weft || !of(s) || w.anyThrums && s.length-joined < w.pass {
			continue
		}
		weft -= s.length - joined
		joined = join
	}
	return weft <= 0
}

// drawnPlan is a random project with a random stash about as large as it wants.
func drawnPlan(t testing.TB, r *rand.Rand) (Shelf, stash.ProjectFacts) {
	b := scarf()
	mix := true
	b.Warp, b.Weft, b.MixLots = yarnRef(cotton), yarnRef(wool), &mix
	for _, l := range []**measure.Ratio{&b.TakeUp, &b.WeftTakeUp, &b.ShrinkLength, &b.ShrinkWidth,
		&b.Stretch, &b.DrawIn} {
		if *l = nil; r.IntN(5) == 0 {
			*l = percentage(int64(2 + r.IntN(8)))
		}
	}
	b.Width, b.Length = measure.Length(150+r.IntN(500)), measure.Length(500+r.IntN(2000))
	b.Pieces, b.Fringe = 1+r.IntN(3)*r.IntN(2), measure.Length(r.IntN(2)*r.IntN(250))
	b.HemstitchedEdges, b.FloatingSelvedges, b.Loops = r.IntN(3), 2*r.IntN(2), r.IntN(3) == 0
	b.EndStrands, b.PickStrands = 1+r.IntN(2)*r.IntN(2), 1+r.IntN(2)*r.IntN(2)
	b.Sample, b.Header = measure.Length(r.IntN(2)*r.IntN(200)), measure.Length(r.IntN(2)*r.IntN(60))
	one := r.IntN(4) == 0
	if one {
		b.Weft = yarnRef(cotton)
	}
	rich := stock(t, of("c", cotton, 30_000), of("w", wool, 30_000))
	want := planned(t, rich, b)
	warp, _ := measure.MassOf(want.Needs.WarpTotal, rich.Yarns[cotton].Tex())
	weft, _ := measure.MassOf(want.Needs.WeftTotal, rich.Yarns[b.Weft[0].Yarn].Tex())
	var packs []stash.Package
	share := func(yarn stash.YarnID, mass measure.Mass, colour string) {
		total := float64(mass) * (0.9 + 0.35*r.Float64()*r.Float64())
		n := 1 + r.IntN(6)
		for i := range n {
			p := of(fmt.Sprint(yarn, colour, i), yarn, 0, coloured(colour))
			p.Held = measure.Mass(total / float64(n) * (0.8 + 0.4*r.Float64()))
			p.Received, p.Knots, p.Form = p.Held, r.IntN(3)*r.IntN(2), "cone"
			p.Step = []measure.Mass{100, 1000, 5000}[r.IntN(3)]
			if r.IntN(2) == 0 {
				p.Tare = &stash.Tare{Mass: 30_000, Source: stash.TareAssumed, Spread: 5000}
			}
			packs = append(packs, p)
		}
	}
	switch {
	case one:
		share(cotton, warp+weft, "oat")
	case r.IntN(4) == 0:
		ends := want.Needs.Threaded
		b.Stripes = []stash.Stripe{{Colour: "oat", Ends: ends / 3},
			{Colour: "sky", Ends: ends - ends/3}}
		share(cotton, warp/3, "oat")
		share(cotton, warp-warp/3, "sky")
		share(wool, weft, "moss")
	default:
		share(cotton, warp, "oat")
		share(wool, weft, "moss")
	}
	return stock(t, packs...), b
}

// weaverOf is the weaver of a plan.
func weaverOf(s Shelf, o Outcome, asked stash.ProjectFacts, seed uint64) *weaver {
	w := &weaver{r: rand.New(rand.NewPCG(seed, 99)), b: o.Project, s: s, ends: o.Needs.Ends}
	asked.Sett, asked.Picks = o.Project.Sett, o.Project.Picks
	set := learn.Losses(learn.Question{Project: asked}, nil, s.learning())
	w.along, w.across, w.doubtful = together(set.Along), together(set.Across), len(set.Doubts()) > 0
	w.packages = w.holding()
	for _, p := range w.packages {
		w.anyThrums = w.anyThrums || p.apart > 0
		if p.weft {
			w.rag = p.perTex
		}
	}
	if len(asked.Stripes) > 0 {
		w.stripe = map[string]int{}
		for _, stripe := range asked.Stripes {
			w.stripe[stripe.Colour] += stripe.Ends + asked.FloatingSelvedges/2
		}
	}
	return w
}

// reliability is, for each tenth of what was said, what was said and what was woven.
type reliability [10]struct{ said, woven, pieces float64 }

func (b *reliability) add(said float64, woven, pieces int) {
	at := &b[min(9, int(10*said))]
	at.said += said * float64(pieces)
	at.woven += float64(woven)
	at.pieces += float64(pieces)
}

// check holds every bin of 2,000 pieces or more to within 0.02.
func (b *reliability) check(t *testing.T) {
	held := 0
	for _, at := range b {
		if at.pieces < 2000 {
			continue
		}
		held++
		said, woven := at.said/at.pieces, at.woven/at.pieces
		t.Logf("%7.0f pieces: said %.3f, woven %.3f", at.pieces, said, woven)
		if math.Abs(said-woven) > 0.02 {
			t.Errorf("of %.0f pieces called %.3f, %.3f were woven", at.pieces, said, woven)
		}
	}
	if held < 8 {
		t.Errorf("only %d of ten bins have 2,000 pieces", held)
	}
}

// TestPlansAreWovenAsOftenAsTheySay holds the probability of random plans with every
// option against plain Monte Carlo, each within its bound and four standard errors, and
// one piece of each against its probability in bins.
func TestPlansAreWovenAsOftenAsTheySay(t *testing.T) {
	plans, draws := 80, 3000
	if os.Getenv("ENDSMEET_LONG") == "1" {
		plans, draws = 200, 60_000
	}
	var slowest time.Duration
	var bins reliability
	open := 0
	for n := range plans {
		r := rand.New(rand.NewPCG(uint64(n), 7))
		s, b := drawnPlan(t, r)
		start := time.Now()
		o, err := Plan(s, b)
		slowest = max(slowest, time.Since(start))
		if err != nil || o.Verdict == chance.Unknown {
			t.Fatalf("plan %d: %v, %s", n, err, o.Verdict)
		}
		if len(o.Allotments) == 0 && o.Probability == 0 {
			continue // nothing at all fits on the middle estimates
		}
		w := weaverOf(s, o, b, uint64(n))
		woven := 0
		for range draws {
			if w.weave() {
				woven++
			}
		}
		bins.add(o.Probability, woven, draws)
		got := float64(woven) / float64(draws)
		if got > 0.02 && got < 0.98 {
			open++
		}
		allowed := 4*math.Sqrt(max(got*(1-got), 0.001)/float64(draws)) + o.Bound + 0.004
		if math.Abs(got-o.Probability) > allowed {
			t.Errorf("plan %d: said %.4f ± %.4f, woven %.4f: %+v", n, o.Probability, o.Bound, got,
				b)
		}
	}
	bins.check(t)
	t.Logf("%d plans, %d of them open; the slowest took %v", plans, open, slowest)
	if open < plans/4 {
		t.Errorf("only %d of %d plans are open", open, plans)
	}
}
