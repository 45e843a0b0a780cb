package learn

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// CountFigure is the count of a yarn as finished pieces show it.
type CountFigure struct {
	Yarn  stash.YarnID  `json:"yarn"`
	Count measure.Count `json:"mtex"`
	// Doubt is the relative standard uncertainty of the count.
	Doubt  measure.Ratio `json:"doubt_ppm"`
	Pieces int           `json:"pieces"`
	Basis  string        `json:"basis"`
	// FromPrior says that it is the recorded count: no piece stands behind it.
	FromPrior bool `json:"from_prior"`
}

// commonError is the relative error that all pieces of one weaver share, such
// as pegs that are not where they should be (common practice, no source). No
// number of pieces makes a count surer than that.
const commonError = 0.01

// unrecorded is the doubt of the logarithm of a count that nobody recorded:
// so wide that the first piece decides.
const unrecorded = 10

// A yarn whose count nobody recorded is believed to have one between these, in
// mg/km: 1 tex is finer than silk singles, 50 ktex coarser than rags (common
// practice, no source).
const (
	leastCount = 1e3
	mostCount  = 5e7
)

// Counts estimates the count of every yarn that has one recorded or that
// finished pieces tell of: mass that was weighed over length that was woven. The
// recorded count with its doubt is the prior. Absurd measurements are listed.
func Counts(pieces []stash.Piece, shelf Shelf) (map[stash.YarnID]CountFigure, []LeftOut) {
	seen := map[stash.YarnID][]countSeen{}
	for _, p := range pieces {
		if !teaches(p) {
			continue
		}
		for _, c := range shelf.countsIn(p) {
			seen[c.yarn] = append(seen[c.yarn], c)
		}
	}
	out, left := map[stash.YarnID]CountFigure{}, []LeftOut(nil)
	for _, id := range shelf.known(seen) {
		f, bad, ok := shelf.count(id, seen[id])
		left = append(left, bad...)
		if ok {
			out[id] = f
		}
	}
	return out, left
}

// known lists all yarns that may get a count, in order.
func (s Shelf) known(seen map[stash.YarnID][]countSeen) []stash.YarnID {
	return unique(slices.AppendSeq(slices.Collect(maps.Keys(s.Yarns)), maps.Keys(seen)))
}

// countSeen is the count of one yarn in one role of one piece, in mg/km. Flat
// weft makes it too high by the take-up, which is then still in it: flat is the
// part of the length that is such weft.
type countSeen struct {
	piece    stash.Piece
	yarn     stash.YarnID
	count    float64
	flat     float64
	variance float64
	// uncounted says that the length is as planned, since nobody counted its picks.
	uncounted bool
}

func (s Shelf) countsIn(p stash.Piece) []countSeen {
	if c, ok := s.wholeCount(p); ok {
		return []countSeen{c}
	}
	return append(s.warpCounts(p), s.weftCount(p)...)
}

// wholeCount is the count of a piece of one yarn of which some package gave warp
// and weft: what all of it weighed by the length of both. How the scale's loss is
// shared out between the roles does not matter to it.
func (s Shelf) wholeCount(p stash.Piece) (countSeen, bool) {
	u, ok := s.oneYarn(p)
	if !ok || p.Plan.WarpEnd <= 0 || p.Plan.Shared != nil || s.scaleDoubt(u.mass) > tooLight {
		return countSeen{}, false
	}
	r := readingsOf(p.Plan, p.Finish.Measures)
	flat, hem, counted := flatWeft(p, r)
	if !counted {
		flat, hem = plannedWeft(p.Plan, r)
	}
	warp := s.warpLength(p, u.yarn, 1)
	if warp <= 0 || flat <= 0 {
		return countSeen{}, false
	}
	c := s.perLength(p, u, warp+flat+hem)
	return c.ofWeft(flat/(warp+flat+hem), counted), true
}

// ofWeft is a count of which so much of the length is weft, its picks counted or not.
func (c countSeen) ofWeft(flat float64, counted bool) countSeen {
	if c.flat, c.uncounted = flat, !counted; !counted {
		c.variance += flat * flat * scatterBeaten * scatterBeaten
	}
	return c
}

// scatterBeaten is how far the picks and the width may be from the planned ones
// where nobody counted, one standard deviation (common practice, no source).
const scatterBeaten = 0.05

// plannedWeft is the length of the weft without take-up, as planned for what the
// tape read, and the yarn that stitched hems.
func plannedWeft(plan *stash.Plan, r readings) (flat, hem float64) {
	hem = mm(plan.HemstitchTotal)
	flat = (mm(plan.WeftTotal) - hem) / (1 + ratioOf(plan.Spec.WeftTakeUp))
	if tape := r.pieces * mm(plan.Tape); tape > 0 && r.tape > 0 {
		flat *= r.tape / tape
	}
	return flat, hem
}

// oneYarn is the one yarn that gave all of a piece, every package of it weighed
// and at least one serving several roles.
func (s Shelf) oneYarn(p stash.Piece) (use, bool) {
	gave, several := map[stash.PackageID]measure.Mass{}, false
	var u use
	for _, d := range p.Finish.Debits {
		yarn := s.Package(d.Package).Yarn
		if !d.Measured || yarn == "" || u.yarn != "" && u.yarn != yarn {
			return use{}, false
		}
		u.yarn, gave[d.Package] = yarn, gave[d.Package]+d.Mass
		several = several || roles(p.Finish.Debits, d.Package) > 1
	}
	for id, mass := range gave {
		u.mass += max(mass, s.Package(id).UsedIn[p.ID])
	}
	return u, several && u.mass > 0
}

// warpCounts divides what the warp weighed by its length, which is known: ends
// times the length wound. Several yarns share the ends as planned. One piece of a shared
// warp tells nothing: what it weighed was parted by the plan.
func (s Shelf) warpCounts(p stash.Piece) []countSeen {
	if p.Plan.Shared != nil {
		return nil
	}
	uses, ok := s.weighed(p, stash.RoleWarp, nil)
	if !ok || p.Plan.Warped(p.Finish.Measures) <= 0 {
		return nil
	}
	var out []countSeen
	for _, u := range uses {
		length := s.warpLength(p, u.yarn, len(uses))
		if length <= 0 {
			return nil
		}
		out = append(out, s.perLength(p, u, length))
	}
	return out
}

// warpLength is the length of the warp of one yarn, zero if it is not known.
func (s Shelf) warpLength(p stash.Piece, yarn stash.YarnID, yarns int) float64 {
	ends := p.Plan.Ends
	if m := p.Finish.Measures.Ends; m > 0 {
		ends = m
	}
	if yarns == 1 {
		return float64(ends*max(1, p.Plan.Spec.EndStrands)) * mm(p.Plan.Warped(p.Finish.Measures))
	}
	var length float64
	var planned []stash.PackageID
	for _, a := range p.Plan.Allotments {
		if s.Package(a.Package).Yarn == yarn && a.Warp > 0 {
			length += mm(a.Warp)
			planned = append(planned, a.Package)
		}
	}
	if ends != p.Plan.Ends || !s.asPlanned(p, yarn, planned) {
		return 0
	}
	return length
}

// asPlanned says whether the packages of a yarn that gave warp are the planned
// ones.
func (s Shelf) asPlanned(p stash.Piece, yarn stash.YarnID, planned []stash.PackageID) bool {
	var took []stash.PackageID
	for _, d := range p.Finish.Debits {
		if d.Role == stash.RoleWarp && s.Package(d.Package).Yarn == yarn {
			took = append(took, d.Package)
		}
	}
	slices.Sort(took)
	slices.Sort(planned)
	return slices.Equal(slices.Compact(took), slices.Compact(planned))
}

// weftCount divides what the weft weighed by its flat length, the planned one where nobody
// counted.
func (s Shelf) weftCount(p stash.Piece) []countSeen {
	uses, weighed := s.weighed(p, stash.RoleWeft, nil)
	if !weighed || len(uses) != 1 || p.Plan.Spec.RagPerM2 > 0 {
		return nil
	}
	r := readingsOf(p.Plan, p.Finish.Measures)
	flat, hem, counted := flatWeft(p, r)
	if !counted {
		flat, hem = plannedWeft(p.Plan, r)
		if hemmedApart(p, p.Plan.Spec) {
			hem = 0
		}
	}
	if flat <= 0 {
		return nil
	}
	return []countSeen{s.perLength(p, uses[0], flat+hem).ofWeft(flat/(flat+hem), counted)}
}

// scatterCount is how much the count differs from piece to piece, one standard deviation
// (common practice, no source).
const scatterCount = 0.02

// perLength states mass over length; the scale read twice adds to the scatter.
func (s Shelf) perLength(p stash.Piece, u use, length float64) countSeen {
	scale := s.scaleDoubt(u.mass)
	return countSeen{
		piece: p, yarn: u.yarn, count: float64(u.mass) / length * 1e6,
		variance: scatterCount*scatterCount + scale*scale,
	}
}

// count estimates the count of one yarn together with the take-up of its weft.
func (s Shelf) count(id stash.YarnID, seen []countSeen) (CountFigure, []LeftOut, bool) {
	y := s.Yarns[id]
	base, doubt := float64(y.Tex()), s.doubtOf(y)
	if y.Tex() <= 0 {
		seen = slices.DeleteFunc(slices.Clone(seen),
			func(c countSeen) bool { return c.count < leastCount || c.count > mostCount })
		if len(seen) == 0 {
			return CountFigure{}, nil, false
		}
		base, doubt = seen[0].count, unrecorded
	}
	pieces, left := map[stash.PieceID]bool{}, []LeftOut(nil)
	var believed []countSeen
	for _, c := range seen {
		kept, bad := believe(c.piece, []found{c.against(base, y.Tex() > 0)})
		left = append(left, bad...)
		if len(kept) > 0 {
			believed = append(believed, c)
			pieces[c.piece.ID] = true
		}
	}
	doubt = insisted(base, doubt, believed)
	b := belief{mean: pair{0, weftTakeUp.mean}, vari: pair{doubt * doubt, weftTakeUp.variance()}}
	for _, c := range believed {
		b.observe(c.against(base, y.Tex() > 0).observation)
	}
	return countFigure(y, id, base, doubt, b, len(pieces), sharedError(believed)), left, len(pieces) > 0 || y.Tex() > 0
}

// insisted is the doubt of a recorded count once a piece that contradicts it was kept all the
// same: the record may be off by as much as it was asked about.
func insisted(base, doubt float64, seen []countSeen) float64 {
	most := doubt
	for _, c := range seen {
		if off, asked := c.jump(base, doubt); asked {
			most = math.Max(most, math.Abs(off))
		}
	}
	return most
}

// found is one observation of a count with what it claims.
type found struct {
	observation
	claim
}

// against states a count as an observation of the error of base. Without a
// recorded count there is nothing that it could contradict.
func (c countSeen) against(base float64, recorded bool) found {
	take := pair{1, c.flat}
	f := found{observation{take, math.Log(c.count / base), c.variance},
		claim{name: "count", ratio: c.count/base - 1}}
	switch {
	case !recorded:
		f.ratio = 0
	case f.ratio < 0 && base/c.count-1 <= mostBelieved: // as far below as above
		f.ratio = 0
	}
	return f
}

// sharedError is the error that all pieces share of which a count was learned: of the pegs,
// and of picks that nobody ever counted.
func sharedError(seen []countSeen) float64 {
	if slices.ContainsFunc(seen, func(c countSeen) bool { return !c.uncounted }) {
		return commonError
	}
	return scatterBeaten
}

func countFigure(y stash.Yarn, id stash.YarnID, base, doubt float64, b belief,
	pieces int, shared float64) CountFigure {
	if pieces == 0 {
		return CountFigure{Yarn: id, Count: y.Tex(), Doubt: measure.RatioOf(doubt),
			Basis: recorded(y), FromPrior: true}
	}
	sd := math.Hypot(math.Sqrt(b.vari[0]), shared)
	if y.Tex() > 0 {
		sd = math.Min(sd, math.Max(doubt, math.Sqrt(b.vari[0])))
	}
	basis := "weighed against the length woven in " + measure.Counted(pieces, "piece")
	if y.Tex() > 0 {
		basis = fmt.Sprintf("%s; drawn towards the recorded %s (%s)", basis,
			y.Tex().Format(measure.Metric), recorded(y))
	}
	return CountFigure{
		Yarn: id, Count: measure.Count(math.RoundToEven(base * math.Exp(b.mean[0]))),
		Doubt:  measure.RatioOf(sd),
		Pieces: pieces, Basis: basis,
	}
}

func recorded(y stash.Yarn) string {
	switch {
	case y.Count == nil:
		return "no count recorded"
	case y.Count.Source == measure.KnownCount:
		return "the count that its spinner states"
	case y.Count.Source == measure.Guess:
		return "a guess"
	}
	return "known from: " + y.Count.Source.String()
}
