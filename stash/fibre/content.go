package fibre

import (
	"slices"
	"strings"

	"endsmeet/stash/measure"
)

// Part is one fibre of a yarn. Its JSON form is the ledger's; readers pass
// over fields that they do not know.
type Part struct {
	Fibre ID `json:"name"`
	// Share is the fibre's share of the mass. Zero means that the share is
	// not known.
	Share measure.Ratio `json:"percent_ppm"`
	// DiameterNM is the mean fibre diameter in nanometres, zero if not known.
	DiameterNM int64 `json:"diameter_nm,omitempty"`
	// Doubtful says that it may well be another fibre: "cotton?".
	Doubtful bool `json:"doubtful,omitempty"`
	// Note is what else was written: "merino superwash", "says seller".
	Note string `json:"note,omitempty"`
}

// Content is what a yarn is made of. Empty means that nothing is recorded,
// which is unknown and never none.
type Content []Part

// Others are the fibres and hazards that the note of a part names beside its
// own fibre: "rubber core". Nobody has said how much of it there is.
func (p Part) Others() []Mention {
	return slices.DeleteFunc(Named(p.Note), func(m Mention) bool { return m.Fibre == p.Fibre })
}

// Breed says whether the note names a breed of sheep or the grade of one.
func (p Part) Breed() bool {
	return slices.ContainsFunc(strings.Fields(fold(p.Note)), func(w string) bool {
		return qualities[w] == "wool" && !strings.Contains(w, "superwash") ||
			strings.Contains(w, "merino")
	})
}

// unknown says whether the fibre of a part is not, or not surely, known.
func (p Part) unknown() bool { return p.Doubtful || p.Fibre.Info().Hazards.Has(UnknownHazard) }

// Superwash says whether the part's note says superwash: treated not to felt.
func (p Part) Superwash() bool {
	return TreatmentOf(p.Note) == Treated
}

// Word is what a weaver calls a fibre, which is read as well: the law on labels has
// another word for one.
func (id ID) Word() string {
	if id == "elastodiene" {
		return "rubber"
	}
	return string(id)
}

// String gives the part as ParseContent reads it: "wool (merino, 18.5 um) 100".
func (p Part) String() string {
	out := p.Fibre.Word()
	if p.Doubtful {
		out += "?"
	}
	var inside []string
	if p.Note != "" {
		inside = append(inside, p.Note)
	}
	if p.DiameterNM > 0 {
		inside = append(inside, trimmed(p.DiameterNM, 1000)+" um")
	}
	if len(inside) > 0 {
		out += " (" + strings.Join(inside, ", ") + ")"
	}
	if p.Share == 0 {
		return out + " ?"
	}
	return out + " " + strings.TrimSuffix(p.Share.String(), "%")
}

// trimmed writes n/unit for a unit of 1000, without trailing zeros.
func trimmed(n, unit int64) string {
	text := measure.Mass(n * int64(measure.Gram) / unit).String()
	return strings.TrimSuffix(text, " g")
}

// String gives the content as ParseContent reads it, "cotton 60, linen 40",
// and "unknown" for an empty one.
func (c Content) String() string {
	if len(c) == 0 || len(c) == 1 && c[0] == (Part{Fibre: Unknown, Share: measure.Whole}) {
		return string(Unknown)
	}
	parts := make([]string, len(c))
	for i, p := range c {
		parts[i] = p.String()
	}
	return strings.Join(parts, ", ")
}

// Unknown says whether any of it is not known: nothing recorded, a fibre that
// is unknown, narrowed down or doubtful, a share that is not known, or a note that
// names another fibre.
func (c Content) Unknown() bool {
	for _, p := range c {
		if p.unknown() || p.Share == 0 || slices.ContainsFunc(p.Others(), Mention.isFibre) {
			return true
		}
	}
	return len(c) == 0
}

// Has says whether a fibre of the class is recorded. False does not mean that
// there is none: ask MayHave.
func (c Content) Has(class Class) bool {
	for _, p := range c {
		if p.Fibre.Info().Class == class {
			return true
		}
	}
	return false
}

// MayHave says whether a fibre of the class is recorded or cannot be ruled out,
// because something is unknown.
func (c Content) MayHave(class Class) bool {
	if len(c) == 0 || c.Has(class) {
		return true
	}
	for _, p := range c {
		if p.mayBe(class) {
			return true
		}
	}
	return false
}

// sorts are the words that name a whole class of fibres and none of them.
var sorts = map[string]ID{"animal": UnknownAnimal, "animal fibre": UnknownAnimal,
	"animal fibres": UnknownAnimal, "animal fiber": UnknownAnimal, "protein": UnknownAnimal,
	"synthetic": UnknownSynthetic, "synthetics": UnknownSynthetic,
	"synthetic fibre": UnknownSynthetic, "synthetic fiber": UnknownSynthetic,
	"cellulose": UnknownCellulose, "plant fibre": UnknownCellulose, "plant fiber": UnknownCellulose}

// SaysNoMore says whether the word names no more than the class of a fibre that is known:
// "animal" beside wool.
func (m Mention) SaysNoMore(id ID) bool {
	sort := sorts[strings.ToLower(m.Word)]
	return sort != "" && sort == m.Fibre && !id.Info().Hazards.Has(UnknownHazard) &&
		Part{Fibre: sort}.mayBe(id.Info().Class)
}

// mayBe says whether an uncertain part may belong to a class. A fibre narrowed
// to one class of origin stays within it; an unknown elastic is synthetic or
// rubber.
func (p Part) mayBe(class Class) bool {
	switch {
	case !p.unknown():
		return false
	case p.Doubtful:
		return true
	}
	switch p.Fibre {
	case UnknownAnimal:
		return class.Protein()
	case UnknownCellulose:
		return class == Cellulose || class == Bast || class == Regenerated || class == Paper
	case UnknownSynthetic:
		return class == Synthetic
	case UnknownElastic:
		return class == Synthetic || class == Rubber
	}
	return true
}

// Hazards gives every hazard of every part, and all that cannot be ruled out
// where something is unknown.
func (c Content) Hazards() Hazard {
	if len(c) == 0 {
		return Unknown.Info().Hazards
	}
	var all Hazard
	for _, p := range c {
		all |= p.Fibre.Info().Hazards
		if p.Doubtful {
			all |= Unknown.Info().Hazards
		}
	}
	return all
}

// Felts says whether the content may felt: it holds a felting fibre that is not
// superwash, or one that is not known. Treated says that its wool is superwash.
func (c Content) Felts(treated bool) bool {
	for _, p := range c {
		if p.Doubtful || p.Fibre.Info().Felts && !p.spared(treated) {
			return true
		}
	}
	return len(c) == 0
}

// NamesFelting says whether a fibre that felts is named, however sure that is and however
// it was treated.
func (c Content) NamesFelting() bool {
	return slices.ContainsFunc(c, func(p Part) bool { return p.Fibre.Info().Felts })
}

// spared says whether a part is treated not to felt: by its note, or with all the wool.
func (p Part) spared(treated bool) bool {
	return p.Superwash() || treated && p.Fibre.Info().Class == Wool
}

// Melts says whether the yarn may melt: it holds a fibre that melts, or one
// that is not known.
func (c Content) Melts() bool {
	for _, p := range c {
		if p.Doubtful || p.Fibre.Info().Melts {
			return true
		}
	}
	return len(c) == 0
}

// Care gives the gentlest care that any part needs. Treated says that its wool is
// superwash.
func (c Content) Care(treated bool) Care {
	if len(c) == 0 {
		return Unknown.Info().Care
	}
	gentlest := Wash60
	for _, p := range c {
		gentlest = max(gentlest, p.care(treated))
	}
	return gentlest
}

func (p Part) care(treated bool) Care {
	switch info := p.Fibre.Info(); {
	case p.Doubtful:
		return max(info.Care, Unknown.Info().Care)
	case info.Felts && p.spared(treated):
		return Wash30
	default:
		return info.Care
	}
}
