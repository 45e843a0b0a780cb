package wif

import (
	"fmt"
	"math"
	"strings"

	"github.com/lucasb-eyer/go-colorful"
)

// Yarn is a yarn that a colour may be matched with: what it is called and its
// colour as "#rrggbb".
type Yarn struct{ Name, Hex string }

// Match is the yarn nearest to a colour of a draft. Distance is ΔE*ab, the
// straight distance in CIELAB 1976 under daylight D65 (ISO/CIE 11664-4), to one
// decimal: about 2 is a difference that an eye sees side by side (from memory).
// Yarn is empty and Distance −1 where the draft does not say what the colour looks like.
type Match struct {
	Colour   Colour  `json:"colour"`
	Yarn     string  `json:"yarn,omitempty"`
	Hex      string  `json:"hex,omitempty"`
	Distance float64 `json:"delta_e"`
}

// Nearest matches each colour with the nearest yarn; of equals, the first. A
// yarn may be nearest to several colours: the caller shows it and asks. The
// error names a yarn whose colour can't be read.
func Nearest(colours []Colour, yarns []Yarn) ([]Match, error) {
	parsed := make([]colorful.Color, len(yarns))
	for i, y := range yarns {
		c, err := colorful.Hex(strings.TrimSpace(y.Hex))
		if err != nil {
			return nil, fmt.Errorf("the colour of %q is %q, and should be written #rrggbb", y.Name,
				y.Hex)
		}
		parsed[i] = c
	}
	matches := make([]Match, len(colours))
	for i, c := range colours {
		matches[i] = nearest(c, yarns, parsed)
	}
	return matches, nil
}

func nearest(c Colour, yarns []Yarn, parsed []colorful.Color) Match {
	best := Match{Colour: c, Distance: -1}
	want, err := colorful.Hex(c.Hex)
	if err != nil {
		return best
	}
	for i, have := range parsed {
		d := 100 * want.DistanceLab(have) // the library's L* goes to 1, not 100
		if best.Distance < 0 || d < best.Distance {
			best.Yarn, best.Hex, best.Distance = yarns[i].Name, yarns[i].Hex, d
		}
	}
	best.Distance = math.Round(10*best.Distance) / 10
	return best
}

// Colours lists the colours that a draft uses, warp before weft, each once.
func (d *Draft) Colours() []Colour {
	var out []Colour
	seen := make(map[Colour]bool)
	for _, side := range []Side{d.Warp, d.Weft} {
		for _, run := range side.ByColour {
			if !seen[run.Colour] {
				seen[run.Colour] = true
				out = append(out, run.Colour)
			}
		}
	}
	return out
}
