package stash

import "endsmeet/stash/measure"

// Form is the shape of a package, by its trade name.
type Form string

// Forms lists the forms with what their empty usually weighs. The tares are
// those seen on real empties (common practice, no source); Spread is the half-width that an unknown tare of the
// form is given.
var Forms = []struct {
	Form   Form
	Tare   measure.Mass
	Spread measure.Mass
}{
	{"ball", 0, 0},
	{"cone", 25 * measure.Gram, 15 * measure.Gram},
	{"skein", 0, 0},
	{"hank", 0, 0},
	{"cake", 0, 0},
	{"bobbin", 8 * measure.Gram, 4 * measure.Gram},
	{"pirn", 16 * measure.Gram, 8 * measure.Gram},
	{"tube", 15 * measure.Gram, 8 * measure.Gram},
	{"spool", 8 * measure.Gram, 4 * measure.Gram},
	{FormThrums, 0, 0},
}

// FormThrums is the form of yarn that was cut from a warp.
const FormThrums Form = "thrums"

// Strand is the greatest length of one piece of the yarn: as recorded; of thrums of which
// nobody said, what is usually left behind the reed, which they are. Zero where it runs
// through.
func (p PackageFacts) Strand(s Settings) measure.Length {
	if p.Longest == 0 && p.Form == FormThrums {
		return s.BackWaste
	}
	return p.Longest
}

// TareSource says how a tare is known.
type TareSource string

// The sources of a tare.
const (
	TareWeighed TareSource = "weighed"
	TareAssumed TareSource = "assumed"
	TareUnknown TareSource = "unknown"
)

// Tare is the mass of an empty cone, tube or bag, and how it is known.
type Tare struct {
	Mass   measure.Mass `json:"mg"`
	Source TareSource   `json:"source"`
	// Spread is the half-width within which an assumed or unknown tare lies.
	Spread measure.Mass `json:"spread_mg,omitempty"`
}

// UsualTare is the tare to take for a form when nobody weighed an empty. A
// form that has none (ball, skein, hank, cake, thrums) is known to be bare.
func UsualTare(form Form) Tare {
	for _, f := range Forms {
		if f.Form == form && f.Tare == 0 {
			return Tare{Source: TareWeighed}
		}
		if f.Form == form {
			return Tare{Mass: f.Tare, Source: TareUnknown, Spread: f.Spread}
		}
	}
	return Tare{Source: TareWeighed}
}
