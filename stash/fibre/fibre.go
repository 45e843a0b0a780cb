// Package fibre knows textile fibres: their names, how much water they take
// up, what they may do to a person, how they wash, and in which count their
// yarns are usually numbered. It reads a yarn's fibre content, and answers for
// blends. What is not known stays unknown: no answer here calls a yarn safe.
package fibre

import "endsmeet/stash/measure"

// ID names a fibre in the table, as it is written in the ledger: "cotton",
// "linen", "nylon". An ID that the table lacks (from a newer ledger) is kept
// and treated as an unknown fibre.
type ID string

// IDs of what is not, or not fully, known.
const (
	Unknown          ID = "unknown"
	UnknownAnimal    ID = "unknown animal fibre"
	UnknownCellulose ID = "unknown cellulose fibre"
	UnknownSynthetic ID = "unknown synthetic fibre"
	UnknownElastic   ID = "unknown elastic"
)

// Class groups fibres by where they come from.
type Class int

// The classes. ClassUnknown is the zero value.
const (
	ClassUnknown Class = iota
	Animal             // hairs other than wool
	Wool               // sheep's wool
	Silk               // silk
	Cellulose          // seed fibres
	Bast               // stem and leaf fibres
	Regenerated        // made from cellulose or protein
	Synthetic          // made from oil, and thermoplastic or elastic
	Rubber             // elastodiene
	Mineral            // glass, metal
	Paper              // paper yarn
)

// classWords holds the classes' words.
var classWords = [...]string{"unknown", "animal hair", "wool", "silk", "cellulose", "bast",
	"regenerated",
	"synthetic", "rubber", "mineral", "paper"}

// String gives the class's word.
func (c Class) String() string {
	if c < 0 || int(c) >= len(classWords) {
		return classWords[0]
	}
	return classWords[c]
}

// Protein says whether the class is of animal origin: hair, wool or silk.
func (c Class) Protein() bool { return c == Animal || c == Wool || c == Silk }

// Grade says how well a figure is founded.
type Grade int

// The grades, best last.
const (
	NoFigure       Grade = iota // there is no figure
	FromMemory                  // recalled, not seen in a source
	CommonPractice              // common practice, no source
	Published                   // read in a published table
)

// gradeWords are the grades as the table has them.
var gradeWords = [...]string{"", "memory", "practice", "published"}

// String gives the grade in words.
func (g Grade) String() string {
	return [...]string{"no figure", "from memory", "common practice, no source", "published"}[g]
}

// Figure is one value with its grade. Low and High differ where the source
// gives a range.
type Figure struct {
	Low, High measure.Ratio
	Grade     Grade
}

// Allowance is an agreed allowance for one form of the fibre.
type Allowance struct {
	Form  string // "combed", "filament"
	Ratio measure.Ratio
}

// Fibre is one row of the table.
type Fibre struct {
	ID       ID
	EU       int    // number in Annex I of Regulation (EU) 1007/2011, 0 for none
	EUName   string // generic name there, empty for none
	Synonyms []string
	Class    Class

	// Allowances are the agreed allowances of Annex IX of the same
	// regulation, in percent of dry mass: the form to assume first.
	Allowances []Allowance
	// Commercial is the commercial moisture regain of ASTM D1909.
	Commercial Figure
	// Measured is the regain measured at 65 % relative humidity and 20 °C.
	Measured Figure
	// Humidity is the relative standard uncertainty of a yarn's mass that
	// comes from a room of unknown humidity.
	Humidity Figure

	CountBases []measure.Base // customary, the likeliest first
	Hazards    Hazard
	Felts      bool
	Melts      bool
	Care       Care
	Note       string // what else a weaver should know
}

// Hazard is a set of things that may trouble a person. It is a reason to ask,
// never a diagnosis, and its absence is not a clearance.
type Hazard uint

// The hazards.
const (
	AnimalFibre     Hazard = 1 << iota // hair, wool or silk
	PossibleLanolin                    // sheep's wool may carry lanolin
	Latex                              // natural rubber
	PossibleLatex                      // elastic that may be rubber
	Metal                              // metal or metallised
	Dust                               // gives off dust when wound and woven
	UnknownHazard                      // fibre not known: every question is open
)

// hazardWords are the hazards as the table has them.
var hazardWords = [...]string{"animal fibre", "possible lanolin", "latex", "possible latex", "metal",
	"dust", "unknown"}

// Has says whether all of the given hazards are in the set.
func (h Hazard) Has(some Hazard) bool { return h&some == some }

// Care is how gently a cloth must be treated; a larger value is gentler.
type Care int

// The degrees of care, roughest first. What each fibre stands is common
// practice, no source; the label on the yarn comes first.
const (
	Wash60   Care = iota // wash to 60 °C
	Wash40               // wash to 40 °C
	Wash30               // wash at 30 °C
	HandWash             // by hand, lukewarm
	HandWool             // by hand, lukewarm, hardly moved, dried flat
	SpongeOnly
)

// MaxC is the hottest water of a degree of care, in degrees Celsius.
func (c Care) MaxC() int {
	switch c {
	case Wash60:
		return 60
	case Wash40:
		return 40
	}
	return 30
}

// careWords holds the degrees in plain words.
var careWords = [...]string{
	"wash to 60 °C", "wash to 40 °C", "wash at 30 °C, gently", "wash by hand, lukewarm",
	"wash by hand, lukewarm, do not rub, dry flat", "sponge or brief cool rinse only",
}

// String gives the care in plain words.
func (c Care) String() string { return careWords[min(max(c, 0), Care(len(careWords)-1))] }
