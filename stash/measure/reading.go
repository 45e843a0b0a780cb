package measure

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"endsmeet/stash/written"
)

// Reading is a yarn count as it was written and as it was understood.
type Reading struct {
	Count   Count  `json:"mtex"`    // of the whole yarn, all plies together
	Base    Base   `json:"base"`    // what it was written in
	Written string `json:"written"` // as it was written, with single spaces
	// the size written: 8 of 8/2 Ne; for a label the length in m for each g
	Single float64 `json:"single"`
	Plies  int     `json:"plies"` // 0 where none were written
	Source Source  `json:"source"`
	Doubt  Ratio   `json:"doubt_ppm"` // relative standard uncertainty
	// Samples is of how many weighed lengths it is the mean, 0 where that was not said;
	// Doubt is then theirs.
	Samples int `json:"samples,omitempty"`
}

// The finest and coarsest counts that are believed: 0.1 tex is finer than
// raw silk, 100 000 tex is a rope of 10 m to the kilogram.
const (
	finestCount   = Tex / 10
	coarsestCount = 100_000 * Tex
)

// String gives the count exactly, in tex: "147.635 tex". ParseCount reads it
// back to the same count, unless it is beyond the counts that are believed.
func (c Count) String() string { return written.Decimal(int64(c), 3) + " tex" }

// Format gives the count as length for mass: "6773 m/kg" or "3360 yd/lb",
// "count not recorded" for zero.
func (c Count) Format(sys System) string {
	if c <= 0 {
		return "count not recorded"
	}
	base := BaseMPerKg
	if sys == Imperial {
		base = BaseYdPerLb
	}
	return strconv.FormatFloat(c.In(base), 'f', 0, 64) + " " + base.String()
}

// Within gives the count in tex with two figures of its relative uncertainty, and no more
// (JCGM 100:2008, 7.2.6): "551 tex", of one that is hardly known "550 tex".
func (c Count) Within(doubt Ratio) string {
	size := float64(c) / float64(Tex)
	places := 1 - int(math.Floor(math.Log10(size*max(doubt.Float(), 0.001))))
	step := math.Pow(10, float64(places))
	return strconv.FormatFloat(math.Round(size*step)/step, 'f', max(0, places), 64) + " tex"
}

// String gives the reading and what it means: "8/2 Ne (6773 m/kg, 3360 yd/lb)".
func (r Reading) String() string {
	return fmt.Sprintf("%s (%s, %s)", r.Written, r.Count.Format(Metric), r.Count.Format(Imperial))
}

// newReading rounds an exact count once, and takes the doubt from the source.
func newReading(exact *big.Rat, base Base, single *big.Rat, plies int) (Reading, bool) {
	n, fits := written.Round(exact)
	size, _ := single.Float64()
	source := KnownCount
	switch base {
	case BaseLabel, BaseMPer100g:
		source = Label
	case BaseWraps:
		source = Wraps
	}
	r := Reading{Count: Count(n), Base: base, Single: size, Plies: plies, Source: source,
		Doubt: source.StartingDoubt()}
	return r, fits && r.Count >= finestCount && r.Count <= coarsestCount
}

// From gives the reading with another source and that source's starting doubt.
func (r Reading) From(s Source) Reading {
	r.Source, r.Doubt = s, s.StartingDoubt()
	return r
}

// BaseNeeded is the error for a count written without its base. A base is
// never guessed: 8/2 is 6773 m/kg in cotton counts and 4000 in metric ones.
type BaseNeeded struct {
	Written      string    // the number, as in "8/2"
	Alternatives []Reading // each Written as ParseCount reads it
}

// Error asks for the base and shows what each would give.
func (e *BaseNeeded) Error() string {
	problem := "which count base is it in?"
	for i, r := range e.Alternatives[:min(len(e.Alternatives), shownBases)] {
		problem += []string{" ", ", "}[min(i, 1)] + r.Written + " is " + r.Count.Format(Metric)
	}
	return (&Error{Input: e.Written, Problem: problem, Hint: e.hint()}).Error()
}

// shownBases is how many alternatives the one-line message shows; WithFibreBase
// shows them all.
const shownBases = 4

func (e *BaseNeeded) hint() string {
	return "write the base, like " + example(e.Alternatives, "8/2 Ne, Nm 28/2, 34 tex, 1450 yd/lb")
}

// example gives what the first alternative would be written as.
func example(alternatives []Reading, without string) string {
	if len(alternatives) == 0 {
		return without
	}
	return alternatives[0].Written
}

// WithFibreBase proposes the base that is customary for the fibre and shows
// what every base gives, one a line: what agrees with a measurement first, then
// the proposal. A base that is not among the alternatives leaves the
// order as it is.
func (e *BaseNeeded) WithFibreBase(b Base, agrees func(Reading) bool) string {
	var first, second, rest strings.Builder
	for _, r := range e.Alternatives {
		switch custom, fits := r.Base == b, agrees(r); {
		case custom && fits:
			fmt.Fprintf(&first, "%s   agrees; customary for this fibre\n", tableLine(r))
		case fits:
			fmt.Fprintf(&first, "%s   agrees\n", tableLine(r))
		case custom:
			fmt.Fprintf(&second, "%s   customary for this fibre\n", tableLine(r))
		default:
			fmt.Fprintln(&rest, tableLine(r))
		}
	}
	return first.String() + second.String() + rest.String()
}

func tableLine(r Reading) string {
	return fmt.Sprintf("%-14s %12s %12s", r.Written, r.Count.Format(Metric),
		r.Count.Format(Imperial))
}

// OrderNeeded is the error for a pair of two small numbers, either of which
// may be the number of folds: 3/2 Ne is 1260 yd/lb written size first, and
// 560 yd/lb written folds first.
type OrderNeeded struct {
	Written      string
	Alternatives []Reading // each Written as ParseCount reads it
}

// Error shows both readings and how to write each.
func (e *OrderNeeded) Error() string {
	return (&Error{Input: e.Written, Problem: "which number is the ply? " + listed(e.Alternatives),
		Hint: "write the size first, then x and the plies, like " +
			example(e.Alternatives, "Ne 3 x2")}).Error()
}

func listed(readings []Reading) string {
	var out []string
	for _, r := range readings {
		out = append(out, r.Written+" is "+r.Count.Format(Metric)+" or "+r.Count.Format(Imperial))
	}
	return strings.Join(out, "; ")
}
