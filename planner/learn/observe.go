package learn

import (
	"fmt"
	"math"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// LeftOut is a measurement of a finished piece from which nothing was learned.
type LeftOut struct {
	Piece stash.PieceID `json:"piece"`
	Label string        `json:"label"`
	// Name is the figure that it would have told of.
	Name  string        `json:"name"`
	Value measure.Ratio `json:"value_ppm"`
	Why   string        `json:"why"`
}

// The range in which an observed loss is believed: outside it a number was
// miscounted (common practice, no source; the worst loss recorded is 50 %).
const (
	leastBelieved = -0.05
	mostBelieved  = 0.60
)

// scatter is how much one piece differs from the next of the same yarn, weave
// and washing, one standard deviation (common practice, no source).
const (
	scatterStretch = 0.02
	scatterShrink  = 0.02
	scatterDrawIn  = 0.015
	scatterWarp    = 0.02
	scatterWeft    = 0.03
	scatterCount   = 0.02
)

// ruleDoubt is how far Peirce's geometry may miss the take-up of a real cloth
// (common practice, no source).
const ruleDoubt = 0.04

// found is one observation with the figure that it is of and its ratio.
type found struct {
	observation
	name  string
	ratio float64
}

// ofRatio makes an observation of a ratio of two measures: y = ln(num/den).
func ofRatio(name string, take pair, num, den, ratio, variance float64) found {
	return found{observation{take, math.Log(num / den), variance}, name, ratio}
}

// alongWarp observes (stretch, shrink_length).
func alongWarp(r readings) []found {
	const xs, ss = scatterStretch * scatterStretch, scatterShrink * scatterShrink
	var out []found
	if r.tape > 0 && r.off > 0 {
		out = append(out, ofRatio(stretch, pair{1, 0}, r.tape, r.off, r.tape/r.off-1, xs))
	}
	if r.off > 0 && r.wet > 0 {
		out = append(out, ofRatio(shrinkLength, pair{0, 1}, r.wet, r.off, 1-r.wet/r.off, ss))
	}
	if r.tape > 0 && r.off == 0 && r.wet > 0 {
		out = append(out, ofRatio(stretch+" and "+shrinkLength, pair{-1, 1}, r.wet, r.tape, 1-r.wet/r.tape, xs+ss))
	}
	return out
}

// acrossWarp observes (draw_in, shrink_width).
func acrossWarp(r readings) []found {
	const ds, ss = scatterDrawIn * scatterDrawIn, scatterShrink * scatterShrink
	var out []found
	if r.reed > 0 && r.offWidth > 0 {
		out = append(out, ofRatio(drawIn, pair{1, 0}, r.offWidth, r.reed, 1-r.offWidth/r.reed, ds))
	}
	if r.offWidth > 0 && r.width > 0 {
		out = append(out, ofRatio(shrinkWidth, pair{0, 1}, r.width, r.offWidth, 1-r.width/r.offWidth, ss))
	}
	if r.reed > 0 && r.offWidth == 0 && r.width > 0 {
		out = append(out, ofRatio(drawIn+" and "+shrinkWidth, pair{1, 1}, r.width, r.reed, 1-r.width/r.reed, ds+ss))
	}
	return out
}

// inWarp observes (take_up, nothing).
func (s Shelf) inWarp(p stash.Piece, r readings) []found {
	c, ok := warpCrimp(p.Plan, r, s.Settings)
	if !ok {
		return nil
	}
	return []found{ofRatio(crimpWarp, pair{1, 0}, math.Max(1+c, 1e-3), 1, c, scatterWarp*scatterWarp)}
}

// inWeft observes (weft_take_up, error of the count): yarn that was weighed has
// a length only through its count. Where the piece is of another yarn than the
// question's, its count errs by itself and is scatter.
func (s Shelf) inWeft(p stash.Piece, r readings, sameYarn bool) []found {
	flat, hem, ok := flatWeft(p, r)
	uses, weighed := s.weighed(p, stash.RoleWeft, nil)
	if !ok || !weighed {
		return nil
	}
	var length, doubt, scale float64
	for _, u := range uses {
		y := s.Yarns[u.yarn]
		l, known := measure.LengthOf(u.mass, y.Tex())
		if !known {
			return nil
		}
		length, doubt, scale = length+mm(l), math.Max(doubt, s.doubtOf(y)), math.Max(scale, s.scaleDoubt(u.mass))
	}
	yarn := length - hem
	if yarn <= 0 {
		return nil
	}
	take, variance := pair{1, 1}, scatterWeft*scatterWeft+scale*scale
	if !sameYarn {
		take, variance = pair{1, 0}, variance+doubt*doubt
	}
	return []found{ofRatio(crimpWeft, take, yarn, flat, yarn/flat-1, variance)}
}

// believe keeps the observations that can be true and names the others.
func believe(p stash.Piece, all []found) (kept []found, left []LeftOut) {
	for _, f := range all {
		if f.ratio >= leastBelieved && f.ratio <= mostBelieved {
			kept = append(kept, f)
			continue
		}
		left = append(left, LeftOut{Piece: p.ID, Label: stash.Clean(p.Name), Name: f.name, Value: measure.RatioOf(f.ratio), Why: disbelief(f)})
	}
	return kept, left
}

// Believed says whether an observed loss can be true.
func Believed(r measure.Ratio) bool { return r.Float() >= leastBelieved && r.Float() <= mostBelieved }

// Unbelieved names the measures of a finished piece from which nothing is
// learned, because they cannot be true; none of a piece that teaches nothing.
func Unbelieved(p stash.Piece, s Shelf) []LeftOut {
	if !teaches(p) {
		return nil
	}
	r := readingsOf(p.Plan, p.Finish.Measures)
	_, left := believe(p, slices.Concat(alongWarp(r), acrossWarp(r), s.inWarp(p, r), s.inWeft(p, r, true)))
	return left
}

func disbelief(f found) string {
	limit := fmt.Sprintf("more than %v", measure.RatioOf(mostBelieved))
	if f.ratio < leastBelieved {
		limit = fmt.Sprintf("less than %v", measure.RatioOf(leastBelieved))
	}
	return fmt.Sprintf("%.1f %% is %s: one of the measures must be wrong", 100*f.ratio, limit)
}

// teaches says whether anything may be learned from a piece.
func teaches(p stash.Piece) bool {
	return p.State == stash.Finished && p.Plan != nil && p.Finish != nil && !p.Finish.Unusual
}
