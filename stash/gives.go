package stash

import (
	"slices"

	"endsmeet/stash/fibre"
)

// Stretches are the grades of stretch, least first.
var Stretches = []Stretch{StretchNone, StretchSlight, StretchMarked, StretchElastic}

// Gives is a yarn's stretch as recorded, or as its fibres usually have it; false where
// neither tells.
func (y YarnFacts) Gives() (Stretch, bool) {
	if y.Stretch != "" {
		return y.Stretch, true
	}
	if len(y.Fibre) == 0 {
		return "", false
	}
	most := StretchNone
	for _, p := range y.Fibre {
		s, ok := usualStretch(p)
		if !ok {
			return "", false
		}
		if slices.Index(Stretches, s) > slices.Index(Stretches, most) {
			most = s
		}
	}
	return most, true
}

// Stretchy says whether a yarn is known to give plainly under tension.
func (y YarnFacts) Stretchy() bool {
	gives, known := y.Gives()
	return known && slices.Index(Stretches, gives) >= slices.Index(Stretches, StretchMarked)
}

// usualStretch is the stretch of a fibre in a yarn: common practice, no source.
func usualStretch(p fibre.Part) (Stretch, bool) {
	f := p.Fibre.Info()
	switch {
	case p.Fibre == "elastane", p.Fibre == fibre.UnknownElastic, f.Class == fibre.Rubber,
		p.Fibre == "elastomultiester", p.Fibre == "elastolefin":
		return StretchElastic, true
	case p.Doubtful || f.Class == fibre.ClassUnknown:
		return "", false
	case p.Fibre == "acrylic":
		return StretchMarked, true
	case f.Class == fibre.Bast, f.Class == fibre.Paper, f.Class == fibre.Mineral:
		return StretchNone, true
	}
	return StretchSlight, true
}
