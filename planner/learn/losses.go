package learn

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/planner/cloth"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// The names of the figures, as projects have them.
const (
	crimpWarp    = "take_up"
	crimpWeft    = "weft_take_up"
	shrinkLength = "shrink_length"
	shrinkWidth  = "shrink_width"
	stretch      = "stretch"
	drawIn       = "draw_in"
)

// Figure is one loss to allow for.
type Figure struct {
	Name string `json:"name"`
	// Value is not below zero: a plan allows for no gain.
	Value measure.Ratio `json:"value_ppm"`
	// U is the standard uncertainty of the loss of the next piece: what is not
	// known of the mean, and how pieces differ from it. It is zero where the
	// project sets the value.
	U measure.Ratio `json:"u_ppm"`
	// Pieces is how many finished pieces stand behind it.
	Pieces int `json:"pieces"`
	// Basis says in words what it rests on.
	Basis string `json:"basis"`
	// FromPrior says that it is a handbook value: no piece stands behind it.
	FromPrior bool `json:"from_prior"`
	// Given says that the project sets the value.
	Given bool `json:"given"`
}

// Set is every loss of a piece to be planned.
type Set struct {
	TakeUp, WeftTakeUp, ShrinkLength, ShrinkWidth, Stretch, DrawIn Figure
	// LeftOut names the measurements that cannot be true.
	LeftOut []LeftOut
}

// Figures lists the losses in the order of a project's fields.
func (s Set) Figures() []Figure {
	return []Figure{s.TakeUp, s.WeftTakeUp, s.ShrinkLength, s.ShrinkWidth, s.Stretch, s.DrawIn}
}

// Fill gives the project with every loss filled in that it leaves open.
func (s Set) Fill(b stash.ProjectFacts) stash.ProjectFacts {
	for _, f := range []struct {
		field **measure.Ratio
		value measure.Ratio
	}{
		{&b.TakeUp, s.TakeUp.Value}, {&b.WeftTakeUp, s.WeftTakeUp.Value}, {&b.ShrinkLength, s.ShrinkLength.Value},
		{&b.ShrinkWidth, s.ShrinkWidth.Value}, {&b.Stretch, s.Stretch.Value}, {&b.DrawIn, s.DrawIn.Value},
	} {
		if *f.field == nil {
			v := f.value
			*f.field = &v
		}
	}
	return b
}

// Losses estimates the losses of a piece to be planned from the pieces that
// are finished, drawn towards the handbook value where they are few. What the
// project sets is left as it is, and helps to tell the others.
func Losses(q Question, pieces []stash.Piece, shelf Shelf) Set {
	k := shelf.question(q)
	warp, weft := shelf.yarns(k.yarns[0]), shelf.yarns(k.yarns[1])
	b := q.Project
	var out Set
	e := estimator{shelf: shelf, key: k, pieces: pieces, left: &out.LeftOut}

	along, across := blend(warp), blend(weft)
	wetLength, wetWidth := washed(along, along.shrinkLength, b, warp), washed(across, across.shrinkWidth, b, weft)
	out.Stretch, out.ShrinkLength = e.pair(lengthwise,
		quantity{stretch, gains, along.stretch, along.basis(), b.Stretch, scatterStretch}, wetLength.as(shrinkLength, b.ShrinkLength),
		func(_ stash.Piece, r readings, _ bool) []found { return alongWarp(r) })
	out.DrawIn, out.ShrinkWidth = e.pair(widthwise,
		quantity{drawIn, losses, across.drawIn, across.basis(), b.DrawIn, scatterDrawIn}, wetWidth.as(shrinkWidth, b.ShrinkWidth),
		func(_ stash.Piece, r readings, _ bool) []found { return acrossWarp(r) })

	warpPrior, weftPrior := takeUps(b, warp, weft)
	warpPrior.given, weftPrior.given = b.TakeUp, b.WeftTakeUp
	out.TakeUp, _ = e.pair(lengthwise, warpPrior, nothing,
		func(p stash.Piece, r readings, _ bool) []found { return shelf.inWarp(p, r) })
	out.WeftTakeUp, _ = e.pair(widthwise, weftPrior, shelf.countError(weft), shelf.inWeft)
	return out
}

// quantity is one of the two quantities of a pair before any piece is seen.
type quantity struct {
	name    string
	sense   sense
	prior   normal
	basis   string
	given   *measure.Ratio
	scatter float64
}

// nothing is a quantity that is known to be zero.
var nothing = quantity{sense: gains}

// countError is the relative error of the weft's count, which all pieces of
// the yarn share.
func (s Shelf) countError(weft []stash.Yarn) quantity {
	var doubt float64
	for _, y := range weft {
		doubt = math.Max(doubt, s.doubtOf(y))
	}
	return quantity{sense: gains, prior: normal{0, doubt}}
}

// wet is the loss in washing before any piece is seen.
type wet struct {
	loss  normal
	basis string
}

func (w wet) as(name string, given *measure.Ratio) quantity {
	return quantity{name, losses, w.loss, w.basis, given, scatterShrink}
}

func washed(h handbook, loss normal, b stash.ProjectFacts, yarns []stash.Yarn) wet {
	if rule, ok := wetOf(b, yarns); ok {
		return wet{rule.loss, rule.source}
	}
	return wet{loss, h.basis()}
}

// takeUps are the take-ups before any piece is seen: the rule of thumb (6 %
// is the contraction of cotton cloth by Brooks; 10 % for weft is common practice,
// no source) drawn halfway towards Peirce's geometry where the cloth is known
// well enough to reckon it.
func takeUps(b stash.ProjectFacts, warp, weft []stash.Yarn) (quantity, quantity) {
	w := quantity{crimpWarp, gains, normal{.06, .03}, "6 %, as Brooks contracts cotton cloth", nil, scatterWarp}
	f := quantity{crimpWeft, gains, normal{.10, .04}, "10 %, " + practice, nil, scatterWeft}
	t, ok := geometry(b, warp, weft)
	if ok {
		w.drawTo(t.Warp)
		f.drawTo(t.Weft)
	}
	return w, f
}

// drawTo takes a reckoned take-up as one observation of doubt ruleDoubt.
func (q *quantity) drawTo(r cloth.RatioEstimate) {
	l := q.sense.log(q.prior)
	b := belief{mean: pair{l.mean}, vari: pair{l.variance()}}
	b.observe(observation{pair{1, 0}, math.Log(1 + r.Ratio.Float()), ruleDoubt * ruleDoubt})
	value, sd := q.sense.ratio(b.mean[0], math.Sqrt(b.vari[0]))
	q.prior = normal{value.Float(), sd.Float()}
	q.basis += fmt.Sprintf("; %s, %s", percent(r.Ratio), r.Basis)
}

// geometry reckons the take-up if sett, picks, structure and both counts are
// known and the cloth can be woven.
func geometry(b stash.ProjectFacts, warp, weft []stash.Yarn) (cloth.TakeUp, bool) {
	w, err := cloth.ParseWeave(b.Structure)
	if err != nil || len(warp) != 1 || len(weft) != 1 {
		return cloth.TakeUp{}, false
	}
	t, err := cloth.EstimateTakeUp(cloth.Construction{
		Sett: b.Sett, Picks: b.Picks, Weave: w, Factor: factorOf(warp[0]),
		Warp: warp[0].Tex() * measure.Count(max(1, b.EndStrands)), Weft: weft[0].Tex() * measure.Count(max(1, b.PickStrands)),
	})
	return t, err == nil
}

func percent(r measure.Ratio) string { return fmt.Sprintf("%.1f %%", 100*r.Float()) }

// estimator draws the handbook's values towards what pieces show.
type estimator struct {
	shelf  Shelf
	key    key
	pieces []stash.Piece
	left   *[]LeftOut
}

// observer gives what a piece shows of a pair; sameYarn says that it is of the
// question's yarn.
type observer func(p stash.Piece, r readings, sameYarn bool) []found

// pair estimates two quantities together.
func (e estimator) pair(d direction, first, second quantity, see observer) (Figure, Figure) {
	steps, counts := e.gather(d, see)
	qs := [2]quantity{first, second}
	var b belief
	var spread pair
	for i, q := range qs {
		l := q.sense.log(q.prior)
		if q.given != nil {
			l = q.sense.log(normal{min(max(q.given.Float(), -0.9), 0.9), 0})
		}
		b.mean[i], spread[i] = l.mean, l.variance()
	}
	if qs[1].name == "" { // the error of a count is the yarn's own: it does not stray between rungs
		b.vari[1], spread[1] = spread[1], 0
	}
	for r := ofClass; r < rungs; r++ {
		b.widen(pair{strays[r] * spread[0], strays[r] * spread[1]})
		for _, o := range steps[r] {
			b.observe(o.observation)
		}
	}
	return figure(first, b.mean[0], b.vari[0], counts[0]), figure(second, b.mean[1], b.vari[1], counts[1])
}

// tally counts the pieces behind a figure on each rung.
type tally [rungs]int

// gather sorts the observations of all pieces by rung and counts the pieces
// behind each of the two quantities.
func (e estimator) gather(d direction, see observer) (steps [rungs][]found, counts [2]tally) {
	for _, p := range e.pieces {
		if !teaches(p) {
			continue
		}
		at := e.key.compare(e.shelf.pieceKey(p), d)
		if at == apart {
			continue
		}
		kept, left := believe(p, see(p, readingsOf(p.Plan, p.Finish.Measures), at != ofClass))
		*e.left = append(*e.left, left...)
		steps[at] = append(steps[at], kept...)
		for i := range counts {
			if tells(kept, i) {
				counts[i][at]++
			}
		}
	}
	return steps, counts
}

func tells(all []found, quantity int) bool {
	for _, f := range all {
		if f.take[quantity] != 0 {
			return true
		}
	}
	return false
}

// figure states the outcome for one quantity.
func figure(q quantity, mean, variance float64, t tally) Figure {
	if q.given != nil {
		return Figure{Name: q.name, Value: *q.given, Basis: "set in the project", Given: true}
	}
	value, u := q.sense.ratio(mean, math.Sqrt(variance+q.scatter*q.scatter))
	f := Figure{Name: q.name, Value: max(0, value), U: u, Pieces: t[ofClass] + t[ofYarn] + t[ofCloth]}
	f.FromPrior = f.Pieces == 0
	f.Basis = "handbook value: " + q.basis
	if !f.FromPrior {
		f.Basis = fmt.Sprintf("%s; drawn towards the handbook's %s (%s)", t, percent(measure.RatioOf(q.prior.mean)), q.basis)
	}
	return f
}

// String names the pieces behind a figure, the nearest first.
func (t tally) String() string {
	var parts []string
	for _, at := range []struct {
		rung rung
		of   string
	}{{ofCloth, "of these yarns, weave and washing"}, {ofYarn, "of this yarn"}, {ofClass, "of like fibre and weave"}} {
		if n := t[at.rung]; n > 0 {
			parts = append(parts, counted(n, "piece")+" "+at.of)
		}
	}
	return strings.Join(parts, ", ")
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
