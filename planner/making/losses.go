package making

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/kinds"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Loss is a figure that was reckoned with and not given by the project: what it
// is and what it rests on.
type Loss struct {
	Name string `json:"name"`
	// Value is in parts per million for a ratio, threads per 1000 m for a sett,
	// millitex for a count.
	Value int64  `json:"value"`
	Text  string `json:"text"`
	Basis string `json:"basis"`
	// Pieces is how many finished pieces stand behind it.
	Pieces int `json:"pieces"`
}

func (s Shelf) learning() learn.Shelf {
	return learn.Shelf{Yarns: s.Yarns, Packages: learn.ByID(s.Packages), Settings: s.Settings}
}

// filling is a project with every loss, sett and pick count filled in that it leaves
// open.
type filling struct {
	project stash.ProjectFacts
	// losses are the figures that were filled in, and what they rest on.
	losses []Loss
	// set is what the losses are taken from, doubts are the errors of the weaving.
	set    learn.Set
	doubts []planner.Doubt
}

// Spread is how far a finished size may be from the planned one, since losses
// differ from piece to piece: one standard uncertainty, 0 where the project gives
// the losses.
type Spread struct{ Width, Length measure.Length }

// fill fills in every loss, sett and pick count that a project leaves open, from
// the finished pieces, else from the handbook. A project without a size, or
// whose sett nothing is known for, is refused.
func (s Shelf) fill(b stash.ProjectFacts) (filling, error) {
	if IsOpen(b) {
		return filling{project: b},
			stash.Refuse(stash.CodeInput, "give --width and --length of the finished cloth",
				"the project has no size")
	}
	b, err := uncounted(b)
	if err == nil {
		err = s.useless(b)
	}
	if err != nil {
		return filling{project: b}, err
	}
	b = s.mixed(b)
	q, shelf := learn.Question{Project: b, Working: kinds.WorkingOf(b)}, s.learning()
	sett, picks := learn.Setts(q, s.Pieces, shelf)
	if err := noSett(b, sett, picks); err != nil {
		return filling{project: b}, err
	}
	var losses []Loss
	b.Sett, b.Picks = sett.Value, picks.Value
	if err := balanced(b); err != nil {
		return filling{project: b}, err
	}
	set := s.weaverOf().Losses(learn.Question{Project: b})
	if v := s.ragPicks(set.Fill(b)); v > 0 && picks.FromPrior {
		b.Picks, picks.Value, picks.Basis = v, v, "as many as make "+b.RagPerM2.Whole(measure.Metric)+" per square metre of such a weft"
	}
	for _, f := range []learn.SettFigure{sett, picks} {
		if !f.Given && f.Value > 0 {
			losses = append(losses, Loss{f.Name, int64(f.Value), f.Value.Format(s.Settings.Units),
				f.Basis, f.Pieces})
		}
	}
	if !picks.Given && !picks.FromPrior {
		set.Beat = learn.Figure{Name: set.Beat.Name, Basis: "the picks are those that were counted",
			FromPrior: true}
	}
	roundEstimates(&set)
	for _, f := range set.Figures() {
		if !f.Given && f.Shown() {
			losses = append(losses, Loss{f.Name, int64(f.Value), f.Value.String(), f.Basis,
				f.Pieces})
		}
	}
	return filling{set.Fill(b), losses, set, set.Doubts()}, nil
}

// ragPicks are the picks that the mass per area of a weft makes of its count, by its own
// arithmetic; zero where one of them is not known.
func (s Shelf) ragPicks(b stash.ProjectFacts) measure.Sett {
	named := s.Named(b.Weft)
	if b.RagPerM2 == 0 || len(named) == 0 || s.Yarns[named[0].Yarn].Tex() == 0 {
		return 0
	}
	of := func(r *measure.Ratio) float64 { return r.Float() }
	onLoom := (1 - of(b.ShrinkWidth)) * (1 - of(b.ShrinkLength)) / (1 + of(b.Stretch)) / (1 + of(b.WeftTakeUp))
	metre, _ := measure.LengthOf(b.RagPerM2, s.Yarns[named[0].Yarn].Tex()) // of a square metre, in mm: per km of a pick of one metre
	return measure.Sett(math.Round(float64(metre) * onLoom / float64(max(1, b.PickStrands))))
}

// noSett refuses a project whose sett or picks are neither stated nor can be estimated.
func noSett(b stash.ProjectFacts, sett, picks learn.SettFigure) error {
	switch none := sett.Value <= 0 || picks.Value <= 0 && b.RagPerM2 == 0; {
	case none && (len(b.Warp) == 0 || len(b.Weft) == 0):
		return stash.Refuse(stash.CodeInput,
			"name it with --warp and --weft; `endsmeet fits` finds what is on the shelf",
			"the project has not all of its yarn yet, and no sett without it")
	case none:
		return stash.Refuse(stash.CodeInput, "give --sett and --picks, or set the yarn's count",
			"the project has no sett or picks, and none can be estimated")
	}
	return nil
}

// unbalanced is how much less of the web than its length an end may run through by the
// figures of a project, before they are refused: they were rounded.
const unbalanced = 0.005

// balanced refuses a project whose own figures cannot all be true: an end runs through at
// least as much of the taut web as the web is long.
func balanced(b stash.ProjectFacts) error {
	if b.Stretch == nil || b.Strain == nil {
		return nil
	}
	if b.Strain.Float() > b.Stretch.Float()+unbalanced {
		return stash.Refuse(stash.CodeInput,
			fmt.Sprintf("leave one of them open, or give --strain of at most %s", *b.Stretch),
			"strain (of the yarn) %s and stretch (of the web) %s cannot both be true: when the tension goes, the web loses at least what its yarn loses", *b.Strain, *b.Stretch)
	}
	if b.TakeUp == nil {
		return nil
	}
	l := planner.Losses{Stretch: *b.Stretch, Strain: *b.Strain, WarpTakeUp: *b.TakeUp}
	if l.Straight() > 1-unbalanced {
		return nil
	}
	most := (1+b.Stretch.Float())*l.Straight() - 1
	return stash.Refuse(stash.CodeInput,
		fmt.Sprintf("leave one of them open, or give --stretch of at most %s",
			rounded(measure.RatioOf(most))),
		"stretch %s, strain %s and take-up %s cannot all be true: the tape would read more than the warp is long", *b.Stretch, *b.Strain, *b.TakeUp)
}

// roundEstimates rounds what the project does not set, so that what is shown is
// what is reckoned with.
func roundEstimates(set *learn.Set) {
	for _, f := range []*learn.Figure{&set.TakeUp, &set.WeftTakeUp, &set.ShrinkLength,
		&set.ShrinkWidth, &set.Stretch, &set.Strain, &set.DrawIn, &set.Beat} {
		if !f.Given {
			f.Value = rounded(f.Value)
		}
	}
}

// rounded shows a ratio to a tenth of a per cent.
func rounded(r measure.Ratio) measure.Ratio {
	const tenth = measure.Percent / 10
	return (r + tenth/2) / tenth * tenth
}

// Taught is the shelf with the counts that finished pieces show in place of the
// recorded ones.
func (s Shelf) Taught() Shelf {
	if s.taught != nil || len(s.Pieces) == 0 {
		return s
	}
	counts, _ := learn.Counts(s.Pieces, s.learning())
	s.taught = map[stash.YarnID]Loss{}
	yarns := maps.Clone(s.Yarns)
	for id, f := range counts {
		y, there := yarns[id]
		if f.FromPrior || !there {
			continue
		}
		fact := stash.CountFact{Source: measure.WeighedSample}
		if y.Count != nil {
			fact = *y.Count
		}
		fact.Count, fact.Doubt = f.Count, f.Doubt
		y.Count = &fact
		yarns[id] = y
		s.taught[id] = Loss{"count of " + y.Name, int64(f.Count), f.Count.Format(s.Settings.Units),
			f.Basis, f.Pieces}
	}
	s.Yarns = yarns
	s.weaver = learn.NewWeaver(s.Pieces, s.learning())
	return s
}

// LearnedCount is the count that finished pieces show of a yarn, once Taught has
// put it in; false where the recorded one stands.
func (s Shelf) LearnedCount(id stash.YarnID) (Loss, bool) {
	l, ok := s.taught[id]
	return l, ok
}

// weaverOf is what the finished pieces taught, by the counts that the shelf has, asked about
// the packages that it has now: Taught may have seen others.
func (s Shelf) weaverOf() *learn.Weaver {
	if s.weaver != nil {
		return s.weaver.With(s.learning())
	}
	return learn.NewWeaver(s.Pieces, s.learning())
}

// withCounts is Taught, and says so of the yarns of a project.
func (s Shelf) withCounts(b stash.ProjectFacts) (Shelf, []Loss) {
	s = s.Taught()
	var losses []Loss
	done := map[stash.YarnID]bool{}
	for _, p := range s.Named(append(append([]stash.Ref(nil), b.Warp...), b.Weft...)) {
		if l, ok := s.taught[p.Yarn]; ok && !done[p.Yarn] {
			done[p.Yarn] = true
			losses = append(losses, l)
		}
	}
	return s, losses
}

// ownFigures gives the project of a finished piece as it was planned, with its losses
// open to what that very piece taught among others and with the waste that was measured
// of it, and a shelf whose counts are those that finished pieces show.
func (s Shelf) ownFigures(piece stash.Piece) (Shelf, stash.ProjectFacts, []Loss) {
	b := piece.Plan.Spec
	s, losses := s.withCounts(b)
	if piece.Finish == nil {
		return s, b, losses
	}
	reopen(&b, piece.Plan.Set, s.weaverOf().Tells(piece.ID))
	if waste := piece.Finish.Measures.Waste; waste > 0 {
		edges := s.specOf(b).Edges
		front, back := edges.Start().Raw(), edges.Last().Raw()+waste
		b.FrontWaste, b.BackWaste = &front, &back
		losses = append(losses, Loss{"waste", int64(waste), waste.Cloth(s.Settings.Units),
			fmt.Sprintf("measured of %s itself", piece.Name), 1})
	}
	return s, b, losses
}

// reopen leaves every loss of a plan open that its project did not set, or that the piece
// itself told of.
func reopen(b *stash.ProjectFacts, set, told []string) {
	for name, field := range map[string]**measure.Ratio{
		"take_up": &b.TakeUp, "weft_take_up": &b.WeftTakeUp, "shrink_length": &b.ShrinkLength,
		"shrink_width": &b.ShrinkWidth,
		"stretch":      &b.Stretch, "strain": &b.Strain, "draw_in": &b.DrawIn, "beat": &b.Beat,
	} {
		if !slices.Contains(set, name) || slices.Contains(told, name) {
			*field = nil
		}
	}
}
