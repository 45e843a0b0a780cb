package kinds

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Kind is a piece that could be made: what it is called, and a project for it
// whose yarns are open where the weaver has not named them.
type Kind struct {
	// Name is what it is listed by, Also what else it is called.
	Name string
	Also []string
	// Facts are its size, range, edges and structure. Sett and picks are zero
	// where they follow from the yarn.
	Facts stash.ProjectFacts
	// Working is how close it is set, as a share of the closest sett.
	Working measure.Ratio
	// Rag says that its weft is strips of cloth, reckoned by mass.
	Rag bool
	// Rules say what its yarn must not be, as a person's rules do.
	Rules []string
	// Tight says that its warp is to bear a tight tension, so that one that gives will not do.
	Tight bool
	// Project and Piece say what record of the weaver's it is, if it is one.
	Project stash.ProjectID
	Piece   stash.PieceID
	// From says what it rests on.
	From string
}

// Usual lists the usual pieces.
func Usual() []Kind {
	out := make([]Kind, len(usual))
	for i, p := range usual {
		out[i] = p.kind()
	}
	return out
}

func (p piece) kind() Kind {
	f := stash.ProjectFacts{
		Name: p.name, Kind: p.name, Width: p.width, Length: p.length, Structure: p.structure,
		Pieces:      1,
		LeastWidth:  cmp.Or(p.least.width, p.width*7/10),
		LeastLength: cmp.Or(p.least.length, p.length*7/10),
		MostWidth:   cmp.Or(p.most.width, p.width*13/10),
		MostLength:  cmp.Or(p.most.length, p.length*13/10),
		Twisted:     p.edge.twisted, Fringe: p.edge.fringe, Hem: p.edge.hem, Bunch: p.edge.bunch,
	}
	k := Kind{Name: p.name, Also: p.also, Facts: f, Working: p.working, Rag: p.rag, Rules: p.rules, Tight: p.tight,
		From: source}
	if p.rag {
		k.Facts.Sett, k.Facts.EndStrands, k.Facts.RagPerM2 = ragSett, ragStrands, ragMass
	}
	return k
}

// OfProject makes a kind of a project; false for one without a size that is no usual
// piece either, whose size it would have. Yarns, person and losses stay as the project has
// them. The rules of the usual piece that it is hold where it names no yarn.
func OfProject(b stash.Project) (Kind, bool) {
	if b.Width <= 0 && b.Sett > 0 {
		b.Width = measure.Length(float64(b.EndsGiven()) / b.Sett.PerMM()) // about, for the ranking
	}
	k := Kind{Name: b.Name, Facts: b.ProjectFacts, Working: ordinary, Rag: b.RagPerM2 > 0,
		Project: b.ID, From: "your project"}
	like, ok := named(Usual(), cmp.Or(b.Kind, b.Name))
	if k.Facts.Width <= 0 && k.Facts.Length <= 0 {
		sized(&k.Facts, like.Facts)
	}
	if k.Facts.Width <= 0 || k.Facts.Length <= 0 {
		return Kind{}, false
	}
	if ok {
		k.Working = like.Working
		if len(b.Warp)+len(b.Weft) == 0 {
			k.Rules, k.Tight = like.Rules, like.Tight
		}
	}
	ranged(&k.Facts)
	return k, true
}

// Sizeless refuses a project of which OfProject makes no kind.
func Sizeless(b stash.Project) error {
	return stash.Refuse(stash.CodeInput, "write "+
		stash.Command("project set", b.Name, "width=25cm", "length=150cm")+", or kind=scarf",
		"the project %s has no size", stash.Clean(b.Name))
}

// sized gives a project without a size that of a usual piece, with its range where the
// project has none.
func sized(f *stash.ProjectFacts, like stash.ProjectFacts) {
	f.Width, f.Length = like.Width, like.Length
	if f.LeastWidth+f.MostWidth+f.LeastLength+f.MostLength == 0 {
		f.LeastWidth, f.MostWidth = like.LeastWidth, like.MostWidth
		f.LeastLength, f.MostLength = like.LeastLength, like.MostLength
	}
}

// WorkingOf is how close a project is set where its sett follows from the yarn: as
// the usual piece that it is, 0 where it is none.
func WorkingOf(b stash.ProjectFacts) measure.Ratio {
	if like, ok := named(Usual(), cmp.Or(b.Kind, b.Name)); ok {
		return like.Working
	}
	return 0
}

// LikeOf is the usual piece that a project is, the zero kind where it is none.
func LikeOf(b stash.ProjectFacts) Kind {
	like, _ := named(Usual(), cmp.Or(b.Kind, b.Name))
	return like
}

// ofPiece makes a kind of a finished piece, "another like this": its project and
// its measured size, for the same person, its yarns open; false where it was
// never planned.
func ofPiece(p stash.Piece) (Kind, bool) {
	if p.State != stash.Finished || p.Plan == nil || p.Plan.Spec.Width <= 0 {
		return Kind{}, false
	}
	f := p.Plan.Spec
	f.Warp, f.Weft, f.HemstitchYarn, f.Stripes, f.StripeRule, f.Ends = nil, nil, nil, nil, "", 0
	f.LeastStripe, f.MostStripe = 0, 0
	f.TakeUp, f.WeftTakeUp, f.ShrinkLength, f.ShrinkWidth, f.Stretch, f.DrawIn, f.Beat = nil, nil,
		nil, nil, nil, nil, nil
	f.Sett, f.Picks = 0, 0 // they follow from the yarn that is chosen
	if f.RagPerM2 > 0 {
		f.Sett = p.Plan.Spec.Sett
	}
	f.Pieces, f.Name = 1, p.Name
	if p.Finish != nil {
		f.Width, f.Length = cmp.Or(p.Finish.Measures.Width, f.Width),
			cmp.Or(p.FinishedLength(), f.Length)
	}
	f.LeastWidth, f.LeastLength = min(f.LeastWidth, f.Width), min(f.LeastLength, f.Length)
	k := Kind{Name: p.Name, Facts: f, Working: ordinary, Rag: f.RagPerM2 > 0, Piece: p.ID,
		From: "another like your " + p.Name}
	if like, ok := named(Usual(), f.Kind); ok {
		k.Working, k.Rules, k.Tight = like.Working, like.Rules, like.Tight
	}
	ranged(&k.Facts)
	return k, true
}

// Of is the whole list: the weaver's projects in the place of usual pieces of the
// same name, the other usual pieces, the other projects, and one kind for each
// finished piece whose project is gone.
func Of(projects []stash.Project, pieces []stash.Piece) []Kind {
	out := Usual()
	for _, b := range projects {
		k, ok := OfProject(b)
		if !ok {
			continue
		}
		if i := slices.IndexFunc(out, func(o Kind) bool {
			return o.Project == "" && o.called(b.Name)
		}); i >= 0 {
			out[i] = k
			continue
		}
		out = append(out, k)
	}
	for _, p := range pieces {
		if k, ok := ofPiece(p); ok {
			out = append(out, k)
		}
	}
	return out
}

// Named finds a kind by its name, another word for it, the beginning of its
// name, or its plural.
func Named(all []Kind, word string) (Kind, bool) {
	if k, ok := named(all, word); ok {
		return k, true
	}
	if bare, plural := strings.CutSuffix(norm(word), "s"); plural {
		if k, ok := named(all, bare); ok {
			return k, true
		}
	}
	for _, k := range all {
		if w := norm(word); len(w) >= 3 && strings.HasPrefix(norm(k.Name), w) {
			return k, true
		}
	}
	return Kind{}, false
}

func named(all []Kind, word string) (Kind, bool) {
	for _, k := range all {
		if norm(word) != "" && k.called(word) {
			return k, true
		}
	}
	return Kind{}, false
}

// called says whether a kind goes by a word.
func (k Kind) called(word string) bool {
	w := norm(word)
	return norm(k.Name) == w || slices.Contains(k.Also, w)
}

// ranged gives a project without a range the one from 70 to 130 % of its size.
func ranged(b *stash.ProjectFacts) {
	b.LeastWidth = cmp.Or(b.LeastWidth, b.Width*7/10)
	b.LeastLength = cmp.Or(b.LeastLength, b.Length*7/10)
	b.MostWidth = cmp.Or(b.MostWidth, b.Width*13/10)
	b.MostLength = cmp.Or(b.MostLength, b.Length*13/10)
}

func norm(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// Hemmed is the kind with a hem in the place of its fringe.
func (k Kind) Hemmed() Kind {
	if k.Facts.LongestFringe() > 0 {
		k.Facts = k.Facts.Unfringed()
		k.Facts.Hem = hemmed.hem
	}
	return k
}
