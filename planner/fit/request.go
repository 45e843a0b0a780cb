package fit

import (
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Geometry says what a size needs. All lengths are for the whole warp, with
// every piece on it. WarpEnd and Weft must not fall as lf grows, and WarpEnd(lf)
// must not be below lf.
type Geometry interface {
	// WarpEnd is the length of one warp end for finished length lf.
	WarpEnd(lf measure.Length) measure.Length
	// Weft is the weft for so many threaded ends (without floats) and finished
	// length lf, without joins. It must not fall as threaded grows.
	Weft(threaded int, lf measure.Length) measure.Length
	// Once is what of the weft is woven once, not in each piece: a sample.
	Once(threaded int) measure.Length
	// Width is the finished width that so many threaded ends give.
	Width(threaded int) measure.Length
}

// Package is one physical unit of yarn.
type Package struct {
	// ID names the package; it must be unique.
	ID string
	// Yarn, Colour and Lot say what it is. Packages of one yarn, colour and lot go into one area.
	Yarn, Colour, Lot string
	// Length is the best estimate of what is usable.
	Length measure.Length
	// PlusMinus is half of the range that a person is shown: low = Length − PlusMinus.
	PlusMinus measure.Length
	// Unknown marks a package whose length nobody knows.
	Unknown bool
	// Measure says how to find the length out, for the error ("weigh it", "cut and weigh 10 m").
	Measure string
	// Knots counts knots at unknown places; each costs one whole end at worst.
	Knots int
	// Strands gives the separate lengths that the package lies in; nil for one.
	Strands []measure.Length
	// Longest is the longest unbroken strand (thrums); 0 for no limit.
	Longest measure.Length
	// ForWarp and ForWeft say what it may serve.
	ForWarp, ForWeft bool
	// Side is 1 or 2 for one of two wefts that are clasped in the shed, each of which
	// takes half; 0 where there is but one.
	Side int
	// Own is the standard uncertainty in millimetres that no other package shares.
	Own float64
	// Shared lists the errors that it shares with others (see package chance).
	Shared []chance.Loading
}

// Less is the package when so much, of a length that is known, has been cut from it: what is
// left is as much in doubt as all of it was.
func (k Package) Less(cut measure.Length) Package {
	cut = min(cut, k.Length)
	k.Length -= cut
	k.Shared = slices.Clone(k.Shared)
	for i, l := range k.Shared {
		k.Shared[i].Absolute += l.Relative * float64(cut)
	}
	return k
}

// Level says at which end of the packages' ranges to reckon.
type Level int

// The levels. Middle is the best estimate.
const (
	Middle Level = iota
	Low
	High
)

// LotRule says what dye lots may do.
type LotRule int

const (
	// AnyLot lets lots of one yarn and colour mix freely, and all yarns in the weft of one
	// piece; of several pieces each is of one yarn and colour, unless they may mingle.
	AnyLot LotRule = iota
	// WholeLots never changes lot inside one colour area: a stripe, a warp of one
	// colour, the weft of one piece.
	WholeLots
)

// EndRule lists the end counts that are allowed.
type EndRule struct {
	// Modulus M: threaded ends are a multiple of it, or where Least is not 0 that and so
	// many more; 0 means 1.
	Modulus, Least int
	// Floats are floating selvedge ends beside the threaded ones.
	Floats int
	// Strands are yarns run together as one end; 0 means 1.
	Strands int
	// Loops is true where the warp is wound in loops of two.
	Loops bool
	// Min and Max bound the threaded ends; Max 0 leaves the bound to Limits and yarn.
	Min, Max int
	// Limits are what loom, reed and heddles take.
	Limits []Limit
}

func (e EndRule) counts() planner.EndCounts {
	return planner.EndCounts{Modulus: e.Modulus, Least: e.Least}
}

// Limit is an upper bound on threaded ends with the name of what sets it.
type Limit struct {
	Name string
	Ends int
}

// LengthLimit is an upper bound on the finished length with the name of what
// sets it; zero is none.
type LengthLimit struct {
	Name   string
	Length measure.Length
}

// Want is the size that the project asks for. Zero means no wish.
type Want struct {
	Width, Length        measure.Length
	MinWidth, MaxWidth   measure.Length
	MinLength, MaxLength measure.Length
	// Shape keeps the ratio of wanted width to length; otherwise width goes first.
	Shape bool
	// Rely proposes no length beyond the one that fits with 95 %, which must be
	// known of every size (Request.Sure).
	Rely bool
}

// PutUp is a package that could be bought.
type PutUp struct {
	// Name is what a person calls it ("50 g ball of the slate").
	Name         string
	Yarn, Colour string
	Length       measure.Length
}

// Request is a complete question to Solve.
type Request struct {
	Packages []Package
	Geometry Geometry
	Level    Level
	// Pieces on this warp; the weft of one piece is one area. 0 means 1.
	Pieces int
	// Join is the overlap at each weft join, Pass the weft of one pass of the shuttle:
	// a strand shorter than both weaves nothing.
	Join, Pass measure.Length
	Ends       EndRule
	Plan       Plan
	Lots       LotRule
	// Mingle lets wefts of several yarns and colours meet in each of several pieces.
	Mingle bool
	Want   Want
	// Reach is how long a piece can be, whatever yarn there is.
	Reach  LengthLimit
	PutUps []PutUp
	// Doubts are the errors of the weaving, which probabilities take in.
	Doubts []Doubt
	// Sure asks for the 95 % lengths along the whole frontier, not only of the
	// recommended size; each costs several probabilities.
	Sure bool
	// Bare leaves out how sure the recommended size is, for who asks Chance or
	// needs the length alone: its Chance and Length95 stay zero.
	Bare bool
}

// Reliable is what of the package can be relied on, the low end of its range.
func (k *Package) Reliable() measure.Length { return max(0, k.Length-k.PlusMinus) }

// length is what the package is reckoned to hold at a level.
func (k *Package) length(l Level) measure.Length {
	switch l {
	case Low:
		return k.Reliable()
	case High:
		return k.Length + k.PlusMinus
	default:
		return k.Length
	}
}
