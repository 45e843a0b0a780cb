package making

import (
	"fmt"
	"maps"

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
	packages := make(map[stash.PackageID]stash.Package, len(s.Packages))
	for _, p := range s.Packages {
		packages[p.ID] = p
	}
	return learn.Shelf{Yarns: s.Yarns, Packages: packages, Settings: s.Settings}
}

// filling is a project with every loss, sett and pick count filled in that it leaves
// open.
type filling struct {
	project stash.ProjectFacts
	// losses are the figures that were filled in, and what they rest on.
	losses []Loss
	// doubts are the errors of the weaving.
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
	if b.Width <= 0 || b.Length <= 0 {
		return filling{project: b}, stash.Refuse(stash.CodeInput, "give --width and --length of the finished cloth", "the project has no size")
	}
	q, shelf := learn.Question{Project: b, Working: kinds.WorkingOf(b)}, s.learning()
	var losses []Loss
	sett, picks := learn.Setts(q, s.Pieces, shelf)
	if sett.Value <= 0 || picks.Value <= 0 && b.RagPerM2 == 0 {
		return filling{project: b}, stash.Refuse(stash.CodeInput, "give --sett and --picks, or set the yarn's count", "the project has no sett or picks, and none can be estimated")
	}
	b.Sett, b.Picks = sett.Value, picks.Value
	for _, f := range []learn.SettFigure{sett, picks} {
		if !f.Given && f.Value > 0 {
			losses = append(losses, Loss{f.Name, int64(f.Value), f.Value.Format(s.Settings.Units), f.Basis, f.Pieces})
		}
	}
	set := learn.Losses(learn.Question{Project: b}, s.Pieces, shelf)
	set.Repeat(s.repeats)
	roundEstimates(&set)
	for _, f := range set.Figures() {
		if !f.Given {
			losses = append(losses, Loss{f.Name, int64(f.Value), f.Value.String(), f.Basis, f.Pieces})
		}
	}
	return filling{set.Fill(b), losses, set.Doubts()}, nil
}

// roundEstimates rounds what the project does not set, so that what is shown is
// what is reckoned with.
func roundEstimates(set *learn.Set) {
	for _, f := range []*learn.Figure{&set.TakeUp, &set.WeftTakeUp, &set.ShrinkLength, &set.ShrinkWidth, &set.Stretch, &set.DrawIn} {
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
		s.taught[id] = Loss{"count of " + y.Name, int64(f.Count), f.Count.Format(s.Settings.Units), f.Basis, f.Pieces}
	}
	s.Yarns = yarns
	return s
}

// LearnedCount is the count that finished pieces show of a yarn, once Taught has
// put it in; false where the recorded one stands.
func (s Shelf) LearnedCount(id stash.YarnID) (Loss, bool) {
	l, ok := s.taught[id]
	return l, ok
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

// ownFigures gives the project of a finished piece with what was measured of
// that very piece in place of what was planned, and a shelf whose counts are
// those that finished pieces show.
func (s Shelf) ownFigures(piece stash.Piece) (Shelf, stash.ProjectFacts, []Loss) {
	b := piece.Plan.Spec
	s, losses := s.withCounts(b)
	if piece.Finish == nil {
		return s, b, losses
	}
	own := ownLosses(piece)
	basis := fmt.Sprintf("measured of %s itself", piece.Name)
	for _, f := range []struct {
		name  string
		field **measure.Ratio
		value measure.Ratio
		known bool
	}{
		{"stretch", &b.Stretch, own.stretch, own.hasStretch}, {"shrink_length", &b.ShrinkLength, own.wetLength, own.hasLength},
		{"draw_in", &b.DrawIn, own.drawIn, own.hasDrawIn}, {"shrink_width", &b.ShrinkWidth, own.wetWidth, own.hasWidth},
	} {
		if f.known {
			v := f.value
			*f.field = &v
			s.repeats = append(s.repeats, f.name)
			losses = append(losses, Loss{f.name, int64(v), rounded(v).String(), basis, 1})
		}
	}
	if waste := piece.Finish.Measures.Waste; waste > 0 {
		f := s.specOf(b).Edges.RawFringe()
		front, back := f, f+waste
		b.FrontWaste, b.BackWaste = &front, &back
		losses = append(losses, Loss{"waste", int64(waste), waste.Cloth(s.Settings.Units), basis, 1})
	}
	return s, b, losses
}

// own holds the losses that the measures of one piece show.
type own struct {
	stretch, wetLength, drawIn, wetWidth       measure.Ratio
	hasStretch, hasLength, hasDrawIn, hasWidth bool
}

func ownLosses(piece stash.Piece) own {
	var o own
	p, m := piece.Plan, piece.Finish.Measures
	tape := float64(ofOne(m.Tape, p.Tape, max(1, p.Spec.Pieces)))
	off := float64(ofOne(m.OffLoom, p.Tape, max(1, p.Spec.Pieces)))
	wet := float64(ofOne(m.Length, p.Length, max(1, p.Spec.Pieces)))
	if wet > 0 {
		wet += float64(p.Spec.Hem)
	}
	if tape > 0 && off > 0 {
		o.stretch, o.hasStretch = positive(tape/off-1), true
	}
	relaxed := off
	if off == 0 && tape > 0 {
		relaxed = tape / (1 + ratio(p.Spec.Stretch).Float())
	}
	if relaxed > 0 && wet > 0 {
		o.wetLength, o.hasLength = positive(1-wet/relaxed), true
	}
	reed, loose := float64(m.Reed), float64(m.OffWidth)
	if reed == 0 {
		reed = float64(p.ReedWidth)
	}
	if loose > 0 && reed > 0 {
		o.drawIn, o.hasDrawIn = positive(1-loose/reed), true
	}
	if loose == 0 {
		loose = reed * (1 - ratio(p.Spec.DrawIn).Float())
	}
	if m.Width > 0 && loose > 0 {
		o.wetWidth, o.hasWidth = positive(1-float64(m.Width)/loose), true
	}
	return o.believed()
}

// believed drops losses of which one of the measures must be wrong.
func (o own) believed() own {
	o.hasStretch = o.hasStretch && learn.Believed(o.stretch)
	o.hasLength = o.hasLength && learn.Believed(o.wetLength)
	o.hasDrawIn = o.hasDrawIn && learn.Believed(o.drawIn)
	o.hasWidth = o.hasWidth && learn.Believed(o.wetWidth)
	return o
}

// positive is a loss that is not below zero; a plan allows for no gain.
func positive(r float64) measure.Ratio { return measure.RatioOf(max(0, r)) }
