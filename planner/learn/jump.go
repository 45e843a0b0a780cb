package learn

import (
	"fmt"
	"math"
	"slices"

	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// A measure is asked about before it is learned from when it lies further from what was
// expected than this many standard deviations. One wrong unit spoils the figures of
// many pieces. A warp out of balance is asked about sooner, since it decides the next warp: at
// two deviations one careless piece in ten would be, where nobody said what was wound. How
// often these ask stands in the package comment.
const (
	jumps        = 3.5
	jumpsBalance = 2.5
)

// Jumps names the measures of a finished piece that jump against what the pieces before
// it led to expect, or cannot be true: where one is wrong, the count and all else that rests
// on the others may be too. The piece is not yet among them.
func (w *Weaver) Jumps(p stash.Piece, units measure.System) []LeftOut {
	if p.Plan == nil || p.Finish == nil {
		return nil
	}
	var out []LeftOut
	m := w.read(p)
	for d := range m.told {
		expected := w.expected(p, direction(d))
		for _, t := range m.told[d] {
			z, most := expected.Jump(t.Reading), jumps
			if t.Name == balance {
				most = jumpsBalance
			}
			if math.Abs(z) > most {
				out = append(out, leave(p, t.Name, t.ratio, w.likeliest(p, t, expected, units)))
			}
		}
	}
	for _, l := range w.impossible(p, units) {
		l.Why = InWords(l.Name) + ": " + l.Why
		out = append(out, l)
	}
	return slices.Concat(out, w.leftTooLittle(p, units), w.unwashedOff(p, m), w.shelf.countJumps(p))
}

// woundTold says whether anybody said what was wound.
func woundTold(p stash.Piece) bool { return p.Plan.Wound+p.Finish.Measures.Wound > 0 }

// scatterLeft is how much less of the planned waste a weaver may leave, as a share of it, one
// standard deviation (common practice, no source: shed and tie-up need most of it).
const scatterLeft = 0.25

// leftTooLittle asks about a tape that the ends give only if hardly any waste is left,
// where nobody measured what was.
func (w *Weaver) leftTooLittle(p stash.Piece, units measure.System) []LeftOut {
	r := readingsOf(p.Plan, p.Finish.Measures)
	if r.tape == 0 || r.waste+r.wasteTaut > 0 || p.Plan.Shared != nil {
		return nil
	}
	r.waste = plannedWaste(p.Plan, w.shelf.Settings)
	warp := w.shelf.warpOf(p.Plan, r)
	var out []LeftOut
	for _, t := range warp.balance(r) {
		t.Errors = append(t.Errors, levels.Error{Of: "left", By: scatterLeft * r.waste / (warp.wound - warp.slack)})
		expected := w.expected(p, lengthwise)
		if expected.Jump(t.Reading) <= jumpsBalance {
			continue
		}
		mean, _ := expected.Moments()
		show := func(mm float64) string { return measure.Length(10 * math.Round(mm/10)).Cloth(units) }
		out = append(out, LeftOut{Piece: p.ID, Label: stash.Clean(p.Name), Name: t.Name,
			Value: measure.RatioOf(t.ratio), Why: fmt.Sprintf(
				"ends of %s give a tape of about %s with %s of waste, not %s: were they longer (--wound), was less left (--waste), or is the tape of something else?",
				show(warp.wound), show(r.tape*math.Exp(t.Take.Dot(mean)-t.Value)), show(r.waste), show(r.tape))})
	}
	return out
}

// Unbelieved names the measures of a finished piece from which nothing is learned,
// because they cannot be true, with the likeliest reading where there is one; none of a
// piece that teaches nothing.
func (w *Weaver) Unbelieved(p stash.Piece, units measure.System) []LeftOut {
	if !teaches(p) {
		return nil
	}
	return w.impossible(p, units)
}

// impossible names the measures of a finished piece that cannot be true.
func (w *Weaver) impossible(p stash.Piece, units measure.System) []LeftOut {
	var out []LeftOut
	for d, all := range w.shelf.all(p) {
		_, left := believeTold(p, all)
		for i := range left {
			for _, t := range all {
				if t.Name == balance && left[i].Name == balance {
					left[i].Why += ". " + w.likeliest(p, t, w.expected(p, direction(d)), units)
				}
			}
		}
		out = append(out, left...)
	}
	return out
}

// expected is what the pieces before it led to expect of a piece.
func (w *Weaver) expected(p stash.Piece, d direction) levels.Forecast {
	k := w.shelf.pieceKey(p)
	return w.models[d].Next(w.path(k, d), w.handbook(p.Plan.Spec, k, d).Handbook)
}

// likeliest says what was read, what was expected, and what may have happened.
func (w *Weaver) likeliest(p stash.Piece, t told, expected levels.Forecast,
	units measure.System) string {
	mean, cov := expected.Moments()
	middle, sd := t.Take.Dot(mean), math.Sqrt(t.Take.Dot(cov.Times(t.Take)))
	ratio := math.Expm1(middle)
	switch t.Name {
	case shrinkLength, shrinkWidth, drawIn, parted, narrow:
		ratio = -math.Expm1(-middle)
	}
	if t.Name == balance {
		return w.outOfBalance(p, t, middle, units)
	}
	text := fmt.Sprintf("%s of %s, where %s %s was to be expected: ",
		InWords(t.Name), percent(measure.RatioOf(t.ratio)),
		percent(measure.RatioOf(ratio)), measure.PlusMinus(sd))
	switch t.Name {
	case shrinkLength, parted:
		if p.Plan.Spec.Hems() > 0 {
			return text + "was the length read with the hems the other way, or without the fringe?"
		}
		return text + "was a hem turned in, a piece cut off, or a unit mistaken?"
	case stretch:
		return text + "was the web off the loom still under tension, or the tape of other pieces?"
	case beat:
		return text + "were the picks of one piece or of all?"
	}
	return text + "is one of the two measures of another piece, or in another unit?"
}

// outOfBalance says which one reading, changed alone, would bring the warp into balance.
func (w *Weaver) outOfBalance(p stash.Piece, t told, middle float64, units measure.System) string {
	r := readingsOf(p.Plan, p.Finish.Measures)
	warp := w.shelf.warpOf(p.Plan, r)
	show := func(mm float64) string {
		return measure.Length(math.Max(0, math.Round(mm))).Cloth(units)
	}
	on := (r.tape + warp.taut) * math.Exp(middle-t.Value)
	wound := (warp.wound-warp.slack)*math.Exp(t.Value-middle) + warp.slack
	told := "as planned"
	if r.wound > 0 {
		told = "told"
	}
	text := fmt.Sprintf("%s woven and %s left do not come from ends of %s, %s. Likeliest: the ends were %s long (--wound), or the tape read %s",
		show(r.tape), show(warp.taut+warp.slack), show(warp.wound), told, show(wound),
		show(on-warp.taut))
	if left := on - r.tape; left > 0 && warp.taut > 0 {
		text += ", or " + show(left) + " were left"
	}
	return text
}

// unwashedOff asks about a cloth that was washed and lost nothing at all, and about a web
// that is off the loom no shorter than its tape: one of the two was read at the wrong time,
// unless that is what the pieces before it, or its fibre, led to expect.
func (w *Weaver) unwashedOff(p stash.Piece, m lesson) []LeftOut {
	var out []LeftOut
	expected := w.expected(p, lengthwise)
	for _, t := range m.told[lengthwise] {
		if math.Abs(expected.Jump(t.Reading)) < 1 {
			continue
		}
		why := ""
		switch {
		case t.Name == stretch && t.ratio < 0:
			why = "the web is longer off the loom than the tape read under tension: was it read slack, or is the tape not of all of it?"
		case t.Name == shrinkLength && math.Abs(t.ratio) < 0.002 && !unwashed(p.Plan.Spec, nil):
			why = "the cloth lost nothing in washing: was it measured before?"
		}
		if why != "" {
			out = append(out, leave(p, t.Name, t.ratio, why))
		}
	}
	return out
}

// jumpsCount is how far a count has to lie from the recorded one, as a logarithm,
// before it is asked about, however small the doubts are: an eighth. Labels and scales are
// off by less than what one wrong weighing or a warp of another length makes of it (common
// practice, no source).
var jumpsCount = math.Log(1.12)

// countJumps names the yarns whose count a finished piece would put far from what is
// recorded: then a weighing or the length of the warp is wrong, or the label is, and
// only the weaver knows which.
func (s Shelf) countJumps(p stash.Piece) []LeftOut {
	var out []LeftOut
	for _, c := range s.countsIn(p) {
		y := s.Yarns[c.yarn]
		if y.Tex() <= 0 {
			continue
		}
		doubt := s.doubtOf(y)
		if _, asked := c.jump(float64(y.Tex()), doubt); !asked {
			continue
		}
		out = append(out, leave(p, "count", c.count/float64(y.Tex())-1, fmt.Sprintf(
			"by what was weighed %s would be %.0f m/kg, where %.0f m/kg is recorded: "+
				"was the right item weighed, and %s?",
			stash.Clean(y.Name), 1e9/c.count, 1e9/float64(y.Tex()), c.asPlanned())))
	}
	return out
}

// jump is how far a count lies from a recorded one of some doubt, as a logarithm, and
// whether that is asked about.
func (c countSeen) jump(recorded, doubt float64) (off float64, asked bool) {
	off = math.Log(c.count/recorded) - c.flat*weftTakeUp.mean
	spread := math.Sqrt(doubt*doubt + c.flat*c.flat*weftTakeUp.variance() + c.variance)
	most := jumps
	if c.flat < 0.5 && !woundTold(c.piece) {
		most = jumpsBalance
	}
	return off, math.Abs(off) > max(jumpsCount, most*spread)
}

// asPlanned asks about the length that a count was taken over.
func (c countSeen) asPlanned() string {
	if c.flat > 0.5 && c.uncounted {
		return "were the picks and the width as planned (--picks, --off-width)"
	} else if c.flat > 0.5 {
		return "are the picks those of one piece (--picks)"
	}
	return "was the warp as long as planned (--wound)"
}
