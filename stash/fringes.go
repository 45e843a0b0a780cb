package stash

import "endsmeet/stash/measure"

// Fringe is a kind of fringe: the word for it, the field of a project that asks for it by
// its length, and the setting that says what it loses by being worked, empty for one that
// is not worked.
type Fringe struct {
	Finish  EdgeFinish
	Field   string
	Setting string
	length  func(*ProjectFacts) *measure.Length
	loss    func(*Settings) *measure.Ratio
}

// Fringes are the kinds of fringe, that which takes most work first: it holds where
// several are given, since it is cut from the others.
var Fringes = []Fringe{
	{"twisted", "twisted", "fringe.twist_loss",
		func(b *ProjectFacts) *measure.Length { return &b.Twisted },
		func(s *Settings) *measure.Ratio { return &s.TwistLoss }},
	{"braided", "braided", "fringe.braid_loss",
		func(b *ProjectFacts) *measure.Length { return &b.Braided },
		func(s *Settings) *measure.Ratio { return &s.BraidLoss }},
	{"knotted", "knotted", "fringe.knot_loss",
		func(b *ProjectFacts) *measure.Length { return &b.Knotted },
		func(s *Settings) *measure.Ratio { return &s.KnotLoss }},
	{Finish: "raw", Field: "fringe",
		length: func(b *ProjectFacts) *measure.Length { return &b.Fringe }},
}

// FringeOf is the kind of fringe of a word; false for an end that has none.
func FringeOf(finish EdgeFinish) (Fringe, bool) {
	for _, f := range Fringes {
		if f.Finish == finish {
			return f, true
		}
	}
	return Fringe{}, false
}

// Length is how long the fringe of a project is by the field of this kind.
func (f Fringe) Length(b ProjectFacts) measure.Length { return *f.length(&b) }

// Loss is what the fringe loses of its length by being worked.
func (f Fringe) Loss(set Settings) measure.Ratio {
	if f.loss == nil {
		return 0
	}
	return *f.loss(&set)
}

// Unfringed is a project whose ends have no fringe and no bunches.
func (b ProjectFacts) Unfringed() ProjectFacts {
	for _, f := range Fringes {
		*f.length(&b) = 0
	}
	b.OtherEnd, b.Bunch, b.BunchGroups = nil, 0, 0
	return b
}
