package learn

import (
	"maps"
	"math"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// readings are the measures of a finished piece in millimetres, each for the
// whole warp and with cloth turned in for hems; zero is not measured.
type readings struct {
	pieces                float64
	tape, off, wet        float64
	reed, offWidth, width float64
	ends, picks           float64
	// planned is the tape that was planned for all pieces, picksPlanned to the mm.
	planned, picksPlanned float64
	waste, wasteTaut      float64
	wound                 float64
}

// readingsOf reads the measures. On a warp with several pieces a length may
// have been noted of one piece or of all: it is taken as whichever is nearer to
// the plan, in ratio.
func readingsOf(plan *stash.Plan, m stash.Measures) readings {
	n := float64(max(1, plan.Spec.Pieces))
	tape := mm(plan.Tape)
	relaxed := tape / (1 + ratioOf(plan.Spec.Stretch))
	r := readings{
		pieces: n, tape: whole(mm(m.Tape), tape, n), off: whole(mm(m.OffLoom), relaxed, n),
		wet: whole(mm(m.Length), mm(plan.Length), n), reed: mm(m.Reed), offWidth: mm(m.OffWidth),
		width: mm(m.Width),
		waste: mm(m.Waste), wasteTaut: mm(m.WasteTaut), wound: mm(m.Wound), planned: n * tape,
		picksPlanned: plan.Spec.Picks.PerMM(), ends: float64(max(0, m.Ends)),
		picks: whole(float64(max(0, m.Picks)), float64(plan.Picks), n),
	}
	if r.wet > 0 && !m.HemsOpen {
		r.wet += n * mm(plan.Spec.Hems())
	}
	if r.wound == 0 {
		r.wound = mm(plan.Wound)
	}
	if r.reed == 0 {
		r.reed = reedOf(plan, m.Ends)
	}
	return r
}

// whole is a measure of all n pieces, from one that may be of one piece. What
// one piece was planned to be must be known to tell, so without it nothing is
// taken from a warp of several.
func whole(measured, one, n float64) float64 {
	switch {
	case n == 1 || measured <= 0:
		return math.Max(0, measured)
	case one <= 0:
		return 0
	case measured*measured > one*one*n:
		return measured
	}
	return measured * n
}

// reedOf is the width that the ends take in the reed: the planned one, unless
// the ends were counted again.
func reedOf(plan *stash.Plan, ends int) float64 {
	if ends > plan.Spec.FloatingSelvedges && plan.Spec.Sett > 0 && ends != plan.Ends {
		return float64(ends-plan.Spec.FloatingSelvedges) / plan.Spec.Sett.PerMM()
	}
	return mm(plan.ReedWidth)
}

// mm is a length as a number, zero for what was not measured.
func mm(l measure.Length) float64 { return math.Max(0, float64(l)) }

func ratioOf(r *measure.Ratio) float64 {
	if r == nil {
		return 0
	}
	return r.Float()
}

// warpOf is what was wound and what was not woven. What was left under tension is
// all warp between the web and the rods; what was cut off is without the fringes.
func (s Shelf) warpOf(plan *stash.Plan, r readings) warped {
	w := warped{wound: r.wound, doubt: woundError, known: r.waste > 0 || r.wasteTaut > 0}
	if w.wound == 0 {
		w.wound, w.doubt = mm(plan.WarpEnd), boardError
	}
	fringes := mm(EdgesOf(plan.Spec, s.Settings).Fringes())
	w.slack = mm(plan.Spec.Sample) + mm(plan.Spec.Header) + (r.pieces-1)*fringes
	if r.wasteTaut > 0 {
		w.taut = r.wasteTaut
	} else {
		w.slack += r.waste + fringes
	}
	// what is left of a shared warp tells of no one piece
	w.known = w.known && w.wound > 0 && plan.Shared == nil
	return w
}

// warpCrimp is the take-up of the warp: what of an end is neither waste nor
// fringe nor sample lies in the relaxed cloth. False if waste or cloth was not
// measured.
func (s Shelf) warpCrimp(plan *stash.Plan, r readings) (float64, bool) {
	w := s.warpOf(plan, r)
	if !w.known || r.off == 0 {
		return 0, false
	}
	return (w.wound-w.slack-w.taut)/r.off - 1, true
}

// flatWeft is the length of the weft without take-up, and the yarn of it that
// stitched hems: picks times the width off the loom, which is the width at the
// fell but for a little relaxing. False if picks or width were not measured.
func flatWeft(p stash.Piece, r readings) (flat, hem float64, ok bool) {
	b := p.Plan.Spec
	if r.picks == 0 || r.offWidth == 0 || b.RagPerM2 > 0 {
		return 0, 0, false
	}
	strands := float64(max(1, b.PickStrands))
	if b.Clasped {
		strands *= 2
	}
	sample := mm(b.Sample) * b.Picks.PerMM()
	if !hemmedApart(p, b) {
		hem = mm(p.Plan.HemstitchTotal)
	}
	return (r.picks + sample) * strands * r.offWidth, hem, true
}

// hemmedApart says whether the hem-stitching took yarn of its own.
func hemmedApart(p stash.Piece, b stash.ProjectFacts) bool {
	return len(b.HemstitchYarn) > 0 || slices.ContainsFunc(p.Finish.Debits,
		func(d stash.Debit) bool { return d.Role == stash.RoleHemstitch })
}

// use is what one yarn gave to one role of a piece.
type use struct {
	yarn stash.YarnID
	mass measure.Mass
}

// weighed gives the yarns of a role with their masses, if every package of the
// role was weighed, heavy enough for the scale, and served no other role: a package that
// gave warp and weft has its loss shared out by the plan, which would teach the plan to
// itself.
func (s Shelf) weighed(p stash.Piece, role stash.Role,
	earlier map[stash.PackageID]measure.Mass) ([]use, bool) {
	masses := map[stash.YarnID]measure.Mass{}
	for _, d := range p.Finish.Debits {
		if d.Role != role {
			continue
		}
		yarn := s.Package(d.Package).Yarn
		if !d.Measured || yarn == "" || roles(p.Finish.Debits, d.Package) > 1 {
			return nil, false
		}
		masses[yarn] += s.used(p, d, earlier)
	}
	var out []use
	for _, id := range slices.Sorted(maps.Keys(masses)) {
		if masses[id] <= 0 || s.scaleDoubt(masses[id]) > tooLight {
			return nil, false
		}
		out = append(out, use{id, masses[id]})
	}
	return out, len(out) > 0
}

// tooLight is the relative doubt of the scale beyond which a mass tells nothing
// of a yarn (common practice, no source): less than four grams on a scale of one.
const tooLight = 0.10

// scaleDoubt is the relative standard uncertainty of a mass that is the
// difference of two readings of the scale.
func (s Shelf) scaleDoubt(m measure.Mass) float64 {
	step := measure.ResolutionU(s.Settings.ScaleStep)
	return measure.Combine(step, step) / float64(m)
}

// used is what a package gave to a piece in all. A weighing while the piece
// was on the loom debited part of it before the finish: earlier says how much, or
// the package's account of a piece that is folded already.
func (s Shelf) used(p stash.Piece, d stash.Debit,
	earlier map[stash.PackageID]measure.Mass) measure.Mass {
	if earlier != nil {
		return d.Mass + earlier[d.Package]
	}
	return max(d.Mass, s.Package(d.Package).UsedIn[p.ID])
}

func roles(debits []stash.Debit, id stash.PackageID) int {
	n := 0
	for _, d := range debits {
		if d.Package == id {
			n++
		}
	}
	return n
}

// doubtOf is the relative standard uncertainty of a recorded count.
func (s Shelf) doubtOf(y stash.Yarn) float64 {
	return y.CountDoubt(s.Settings.Doubts).Float()
}
