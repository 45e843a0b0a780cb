package learn

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/cloth"
	"endsmeet/planner/levels"
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
	strained     = "strain"
	drawIn       = "draw_in"
	beaten       = "beat"
)

// InWords is the name of a figure as a sentence has it.
func InWords(name string) string {
	switch name {
	case shrinkLength:
		return "shrinkage in length"
	case shrinkWidth:
		return "shrinkage in width"
	case drawIn:
		return "draw-in"
	case crimpWarp:
		return "take-up"
	case crimpWeft:
		return "take-up of the weft"
	case "warp_count", "weft_count":
		return "count of the " + name[:4]
	}
	return strings.ReplaceAll(name, "_", " ")
}

// Figure is one loss to allow for.
type Figure struct {
	Name string `json:"name"`
	// Value is the middle, below zero where pieces gained.
	Value measure.Ratio `json:"value_ppm"`
	// U is the standard uncertainty of the loss of the next piece: what is not
	// known of the mean, and how pieces differ from it. It is zero where the
	// project sets the value. Figures err together: see Set.Doubts.
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

// Shown says whether a figure tells anything: that as many picks are beaten as were set
// goes without saying until a piece shows otherwise.
func (f Figure) Shown() bool { return f.Name != beaten || !f.FromPrior }

// Set is every loss of a piece to be planned.
type Set struct {
	TakeUp, WeftTakeUp, ShrinkLength, ShrinkWidth, Stretch, Strain, DrawIn Figure
	// Beat is how many more picks are beaten than were set out for.
	Beat Figure
	// LeftOut names the measurements that cannot be true.
	LeftOut []LeftOut
	// Along and Across are what the figures are taken from, one forecast for each
	// direction.
	Along, Across levels.Forecast
	// Balanced is how many pieces behind it tell what was wound and what was left.
	Balanced int
	// follows is what the take-up of the weft has in common with its count.
	follows follows
}

// Figures lists the losses in the order of a project's fields.
func (s Set) Figures() []Figure {
	var out []Figure
	for _, f := range s.figures() {
		out = append(out, *f)
	}
	return out
}

func (s *Set) figures() []*Figure {
	return []*Figure{&s.TakeUp, &s.WeftTakeUp, &s.ShrinkLength, &s.ShrinkWidth, &s.Stretch, &s.Strain,
		&s.DrawIn, &s.Beat}
}

// Fill gives the project with every loss filled in that it leaves open.
func (s Set) Fill(b stash.ProjectFacts) stash.ProjectFacts {
	for i, field := range fieldsOf(&b) {
		if *field == nil {
			v := s.Figures()[i].Value
			*field = &v
		}
	}
	return b
}

// fieldsOf are the losses of a project in the order of Figures.
func fieldsOf(b *stash.ProjectFacts) []**measure.Ratio {
	return []**measure.Ratio{&b.TakeUp, &b.WeftTakeUp, &b.ShrinkLength, &b.ShrinkWidth, &b.Stretch,
		&b.Strain, &b.DrawIn, &b.Beat}
}

// Losses estimates the losses of a piece to be planned from the pieces that
// are finished, drawn towards the handbook value where they are few. What the
// project sets is left as it is, and helps to tell the others.
func Losses(q Question, pieces []stash.Piece, shelf Shelf) Set {
	return NewWeaver(pieces, shelf).Losses(q)
}

// Losses answers a question.
func (w *Weaver) Losses(q Question) Set {
	k := w.shelf.question(q)
	b := impliedStrain(q.Project)
	out := Set{LeftOut: w.left}
	warp, weft := asker{w: w, key: k, d: lengthwise}, asker{w: w, key: k, d: widthwise}
	warp.ask(b)
	weft.ask(b)
	out.Along, out.Across = warp.forecast, weft.forecast
	t := w.tally(k, lengthwise, levels.Vector{straight: 1})
	out.Balanced = t[ofCloth] + t[ofYarn]
	for i, f := range out.figures() {
		asked := [2]*asker{&warp, &weft}[kinds[i].d]
		*f = asked.figure(kinds[i], *fieldsOf(&b)[i])
	}
	if q.Project.Strain == nil && b.Strain != nil {
		out.Strain.Basis = "the least that stretch and take-up of the project allow"
	}
	if b.WeftTakeUp == nil {
		out.follows = w.follows(b, k, weftTakeUpOf)
		out.WeftTakeUp.U = measure.RatioOf(math.Hypot(out.WeftTakeUp.U.Float(),
			gain(out.WeftTakeUp.Value, out.follows.by).Float()))
	}
	if b.Beat == nil && out.Settled() {
		out.Beat = Figure{Name: beaten,
			Basis: "the project sets every loss, and is taken at its word", Given: true}
	}
	return out
}

// impliedStrain is a project that sets stretch and take-up with the least strain that
// goes with both: an end cannot run through less of the taut web than the web is long.
func impliedStrain(b stash.ProjectFacts) stash.ProjectFacts {
	if b.Strain == nil && b.Stretch != nil && b.TakeUp != nil {
		least := planner.Losses{Stretch: *b.Stretch, WarpTakeUp: *b.TakeUp}.LeastStrain()
		b.Strain = &least
	}
	return b
}

// given are the losses that a project sets, as readings without error.
func given(b stash.ProjectFacts, d direction) []levels.Reading {
	var out []levels.Reading
	for i, k := range kinds {
		if r := *fieldsOf(&b)[i]; r != nil && k.d == d {
			value := k.log(normal{min(max(r.Float(), -0.9), 0.9), 0}).mean
			out = append(out, levels.Reading{Take: k.take, Value: float64(k.sense) * value})
		}
	}
	return out
}

// asker takes the figures of one direction from its forecast.
type asker struct {
	w        *Weaver
	key      key
	d        direction
	forecast levels.Forecast
	handbook handbook
	mean     levels.Vector
	cov      levels.Matrix
}

func (a *asker) ask(b stash.ProjectFacts) {
	a.forecast, a.handbook = a.w.next(b, a.key, a.d)
	a.mean, a.cov = a.forecast.Moments()
}

// figure states the outcome for a loss.
func (a *asker) figure(k kind, given *measure.Ratio) Figure {
	if given != nil {
		return Figure{Name: k.name, Value: *given, Basis: "set in the project", Given: true}
	}
	value, u := k.of(a.mean, a.cov)
	t := a.w.tally(a.key, a.d, k.take)
	f := Figure{Name: k.name, Value: value, U: max(1, u), Pieces: t[ofClass] + t[ofYarn] + t[ofCloth]}
	f.FromPrior = f.Pieces == 0
	basis := a.handbook.why(k.name)
	f.Basis = "handbook value: " + basis
	if !f.FromPrior {
		prior, _ := k.of(a.handbook.Mean, levels.Matrix{})
		f.Basis = fmt.Sprintf("%s%s; drawn towards the handbook's %s (%s)", t,
			a.w.bare(a.key, a.d, k.name), percent(prior), basis)
	}
	return f
}

// why says what the handbook's value of a figure rests on.
func (h handbook) why(name string) string {
	switch name {
	case crimpWarp:
		basis := "what relaxes off the loom and a little while under tension"
		if h.takeUp != "" {
			basis += "; " + h.takeUp
		}
		return basis + "; " + h.basis()
	case crimpWeft:
		basis := "10%, " + practice
		if h.takeUp != "" {
			basis += "; " + h.takeUp
		}
		return basis
	case beaten:
		return "as many as were set, " + practice
	case shrinkLength, shrinkWidth:
		if h.washing != "" {
			return h.washing
		}
	}
	return h.basis()
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
		Warp: warp[0].Tex() * measure.Count(max(1, b.EndStrands)),
		Weft: weft[0].Tex() * measure.Count(max(1, b.PickStrands)),
	})
	return t, err == nil
}

func percent(r measure.Ratio) string { return measure.InPercent(r.Float()) }
