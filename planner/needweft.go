package planner

import "endsmeet/stash/measure"

// across is the width of a warp at two places: in the reed, and in the web.
type across struct{ reed, web frac }

// across is the width of so many threaded ends.
func (s Spec) across(threaded int) across { return across{s.reed(threaded), s.web(threaded)} }

// weftWidth is the width on which the weft is reckoned.
func (s Spec) weftWidth(a across) frac {
	if s.Weft.OnReedWidth {
		return a.reed
	}
	return a.web
}

// pick is the weft yarn in one strand of one pick.
func (s Spec) pick(a across) frac {
	return s.weftWidth(a).times(newFrac(whole+int64(s.Losses.WeftTakeUp), whole))
}

// weftLines are the lines of the whole weft, each rounded up.
func (s Spec) weftLines(threaded int) []Allowance {
	a := s.across(threaded)
	picks := s.picking().ceil(int64(s.woven())) * int64(s.Pieces) * int64(s.Weft.strands())
	flat := measure.Length(s.weftWidth(a).ceil(picks))
	crimped := measure.Length(s.pick(a).ceil(picks))
	if s.Weft.MassPerArea > 0 {
		flat, crimped = 0, 0
	}
	return spoken(append([]Allowance{
		{"picks", flat, s.width() + ", " + measure.Counted(s.Weft.strands(), "strand") + " in each pick"},
		{"take-up", crimped - flat, s.Losses.WeftTakeUp.String() +
			" of the width, over and under the warp"},
	}, s.weftFixed(a)...))
}

// weftFixed are the lines of the weft that do not depend on the length.
func (s Spec) weftFixed(a across) []Allowance {
	lines := []Allowance{
		{"sample", s.sampleWeft(a), "woven in the same weft"},
		{"header", s.Loom.HeaderWeft, "woven in the same weft"},
	}
	for f := range Finishes {
		lines = append(lines, s.finishLine(f, a.web))
	}
	return append(lines, Allowance{"joins", measure.Length(s.Weft.Joins) * s.Weft.Overlap,
		measure.Counted(s.Weft.Joins, "overlap")})
}

// sampleWeft is the weft that the sample takes.
func (s Spec) sampleWeft(a across) measure.Length {
	if !s.Loom.SampleInWeft || s.Weft.MassPerArea > 0 {
		return 0
	}
	picks := newFrac(threadsLow(s.beaten()), 2*mmPerKm).ceil(int64(s.Loom.Sample))
	return measure.Length(s.pick(a).ceil(picks * int64(s.Weft.strands())))
}

// mm2PerM2 is square millimetres in a square metre.
const mm2PerM2 = 1_000_000

// RagsFor is the mass of a rag weft for a finished width: area times mass per square
// metre, rounded up.
func (s Spec) RagsFor(width measure.Length) measure.Mass { return s.rags(frac{int64(width), 1}) }

// rags is RagsFor for a width that need not be whole.
func (s Spec) rags(width frac) measure.Mass {
	if s.Weft.MassPerArea == 0 {
		return 0
	}
	wide := width.ceil(int64(s.woven()) * int64(s.Pieces) * int64(s.Weft.MassPerArea))
	return measure.Mass(wide/mm2PerM2 + min(1, wide%mm2PerM2)) // ceil of ceil is exact
}

// WeftLine is the weft as an exact function of the finished length of one
// piece, for a fixed number of threaded ends: a step for each pick.
type WeftLine struct {
	fixed  measure.Length // finished edges, sample, header, joins
	once   measure.Length // of it, sample and header
	hem    measure.Length
	picks  frac  // picks of one piece for each finished length
	strand frac  // yarn in one strand of one pick
	many   int64 // strands of all pieces for each pick of one
}

// WeftLine gives the weft of s for so many threaded ends (without floats) as a
// function of the finished length; Size is ignored. The weft must be reckoned
// by picks, not by mass. The error is an [InputErrors].
func (s Spec) WeftLine(threaded int) (WeftLine, error) {
	s.Size = Size{Length: 1}
	bad := s.faults(false)
	if threaded < 1 || threaded > maxEnds {
		bad = append(bad, InputError{"ends", "must be from 1 to 1,000,000",
			"count the threaded ends without floating selvedges"})
	}
	if s.Weft.MassPerArea > 0 {
		bad = append(bad, InputError{"weft.mass_per_area", "the weft goes by weight, not by length",
			"use RagMass of the needs"})
	}
	if len(bad) > 0 {
		return WeftLine{}, bad
	}
	return s.weftLine(s.across(threaded)), nil
}

// WeftAcross is WeftLine for a web of any width, which bounds the weft of those whose
// ends are not settled: a narrower web takes less, a wider one more. The spec must be
// sound, its weft not by mass.
func (s Spec) WeftAcross(web measure.Length) WeftLine {
	return s.weftLine(across{reed: newFrac(int64(web)*whole, whole-int64(s.Losses.DrawIn)),
		web: frac{int64(web), 1}})
}

// weftLine is the weft across a width.
func (s Spec) weftLine(a across) WeftLine {
	many := int64(s.Pieces) * int64(s.Weft.strands())
	return WeftLine{total(s.weftFixed(a)), s.sampleWeft(a) + s.Loom.HeaderWeft, s.Edges.Hem,
		s.picking(), s.pick(a), many}
}

// Pass is the yarn of one pass of the shuttle, one strand from selvedge to selvedge,
// rounded up: a shorter piece weaves nothing.
func (w WeftLine) Pass() measure.Length { return measure.Length(w.strand.ceil(1)) }

// PerPick is the yarn of one pick in every piece, rounded up.
func (w WeftLine) PerPick() measure.Length { return measure.Length(w.strand.ceil(w.many)) }

// Picks of one piece of finished length lf.
func (w WeftLine) Picks(lf measure.Length) int64 { return w.picks.ceil(int64(lf + w.hem)) }

// Fixed is the weft that does not depend on the length.
func (w WeftLine) Fixed() measure.Length { return w.fixed }

// Once is the weft that is woven once on the warp, not in each piece.
func (w WeftLine) Once() measure.Length { return w.once }

// Need is the weft for finished length lf, rounded up.
func (w WeftLine) Need(lf measure.Length) measure.Length {
	return w.fixed + measure.Length(w.strand.ceil(w.Picks(lf)*w.many))
}

// Slope is the weft for each millimetre of finished length, in millimetres,
// without the step of whole picks.
func (w WeftLine) Slope() float64 { return w.picks.float() * w.strand.float() * float64(w.many) }

// NeedFloat is the weft for finished length lf in millimetres, without the
// step of whole picks.
func (w WeftLine) NeedFloat(lf float64) float64 {
	return float64(w.fixed) + w.Slope()*(lf+float64(w.hem))
}

// MaxLength is the greatest finished length that so much weft can weave; false
// if there is none above zero.
func (w WeftLine) MaxLength(weft measure.Length) (measure.Length, bool) {
	if weft <= w.fixed {
		return 0, false
	}
	strands := w.strand.inverse().floor(int64(weft - w.fixed))
	lf := measure.Length(w.picks.inverse().floor(strands/w.many)) - w.hem
	return max(lf, 0), lf > 0
}
