// Package picture draws a plan: the cloth to scale with its stripes and
// fringe, and the frontier of sizes, as text for a terminal and as SVG for
// paper. Nothing hangs on colour: stripes differ in their fill and are named in a
// legend. It is pure: it returns text.
package picture

import "endsmeet/stash/measure"

// Stripe is a run of ends of one colour, from the left selvedge.
type Stripe struct {
	Label string
	Ends  int
}

// Fringe is the finished fringe of an end, of no length for none, and how many
// bunches it has, none where it is loose.
type Fringe struct {
	Length  measure.Length
	Bunches int
}

// Cloth is a finished piece to be drawn.
type Cloth struct {
	Title         string
	Width, Length measure.Length
	// Fringe is that of the end woven first, Other of the other end.
	Fringe, Other Fringe
	// Stripes from the left selvedge; none is one plain area.
	Stripes []Stripe
	// Unlaid says that it has stripes and nobody knows where: they are not drawn.
	Unlaid bool
	// Hexes are how the colours of the labels look, such as #6b8e23, as far as
	// that is known. They must be colours and nothing else.
	Hexes map[string]string
	Units measure.System
}

// Point is one size that fits.
type Point struct {
	Width, Length measure.Length
	// Length95 is the length that fits with a probability of 95 %, zero if it
	// was not computed.
	Length95 measure.Length
}

// Frontier is the sizes that fit, by rising width.
type Frontier struct {
	Title  string
	Points []Point
	// Wanted is the size asked for, Proposed the one recommended, with what of
	// it fits with 95 %; zero for none.
	Wanted, Proposed Point
	Units            measure.System
}

// whole is the length with both fringes.
func (c Cloth) whole() measure.Length { return c.Length + c.Fringe.Length + c.Other.Length }

// labels lists the labels of the stripes, each once, in the order in which they
// come first.
func (c Cloth) labels() []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range c.Stripes {
		if !seen[s.Label] {
			seen[s.Label] = true
			out = append(out, s.Label)
		}
	}
	return out
}

func (c Cloth) ends() int {
	sum := 0
	for _, s := range c.Stripes {
		sum += max(0, s.Ends)
	}
	return sum
}
