package making

import (
	"maps"
	"math"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Rest is how far a piece on the loom is and what its warp can still give, by all that
// was learned and was read of this very warp. Lengths are whole millimetres, rounded down,
// and are of the middle unless they say otherwise.
type Rest struct {
	// Woven is what the tape reads so far, of all pieces.
	Woven measure.Length `json:"woven_mm"`
	// Tape is how much further the tape can come, Finished what that gives.
	Tape     measure.Length `json:"tape_more_mm"`
	Finished measure.Length `json:"finished_more_mm"`
	// Target is what the tape must read, for each piece, for the finished size to be
	// right, TargetU its standard uncertainty, Further what is to be woven till then.
	Target  measure.Length `json:"tape_target_mm"`
	TargetU measure.Length `json:"tape_target_u_mm"`
	Further measure.Length `json:"further_mm"`
	// AtPlan is what the tape that was planned would finish as.
	AtPlan measure.Length `json:"finished_at_planned_tape_mm"`
	// Reach is what the tape can come to in all; Sure what it comes to on 19 of 20 warps.
	Reach measure.Length `json:"tape_reach_mm"`
	Sure  measure.Length `json:"tape_reach_95_mm"`
	// Short is the probability that the warp does not reach the target, which the tape reads
	// to the millimetre.
	Short float64 `json:"too_short_probability"`
	// Stretch and Strain are those of this warp, Planned the stretch that was planned with.
	Stretch measure.Ratio `json:"stretch_ppm"`
	Strain  measure.Ratio `json:"strain_ppm"`
	Planned measure.Ratio `json:"-"`
	// FinishedSure is the length of each piece that 19 of 20 such warps give; TieOn what
	// must be tied on to each end for the whole size.
	FinishedSure measure.Length `json:"-"`
	TieOn        measure.Length `json:"-"`
	// TapeSure and FinishedMore are Tape and Finished on 19 of 20 such warps.
	TapeSure     measure.Length `json:"tape_more_95_mm"`
	FinishedMore measure.Length `json:"finished_more_95_mm"`
	// AfterPiece is the finished length of a further piece, with fringe or gap
	// between, when the planned pieces are woven first; zero for none. AfterSure is what 19
	// of 20 such warps give.
	AfterPiece measure.Length `json:"after_planned_finished_mm"`
	AfterSure  measure.Length `json:"after_planned_finished_95_mm"`
	// Weft is the finished length that the weft left allows from here, nil where it is not
	// known; WeftSure what it allows 19 times in 20.
	Weft     *measure.Length `json:"weft_allows_finished_mm"`
	WeftSure measure.Length  `json:"weft_allows_finished_95_mm"`
	// WeftShort is the probability that the weft is not enough for the size planned;
	// it is meaningless where WeftUnknown names what must be measured first.
	WeftShort   float64  `json:"-"`
	WeftUnknown []string `json:"-"`
	// Unwound is how many ends there was no yarn for; One says that warp and weft are of
	// the same packages.
	Unwound int  `json:"-"`
	One     bool `json:"-"`
	// Buys are how much more yarn would make it sure.
	Buys []Buy `json:"-"`
	// WeftPace is how fast the weft goes against the plan, by what was left of it when it
	// was weighed on the loom; 0 where it was not.
	WeftPace float64 `json:"-"`
	// FewerGain is how much longer the piece can be where a tenth fewer picks are woven from
	// here, FewerSaved the weft that this saves.
	FewerGain  measure.Length `json:"-"`
	FewerSaved measure.Length `json:"-"`
	// Picks are those that were counted on the loom, BeatOff by how much they are off those
	// that were to be expected; zero where none were counted, or no more than the beat is in
	// doubt by.
	Picks   measure.Sett  `json:"-"`
	BeatOff measure.Ratio `json:"beat_off_ppm"`
	// Binding is what ends it: warp or weft.
	Binding string `json:"runs_out_first"`
	// Worth says which reading would help, empty where none would.
	Worth string `json:"-"`
}

// OnWarp is what a warp on the loom gives beyond the pieces on it.
type OnWarp struct {
	// After is the piece that is woven last.
	After  string         `json:"after"`
	Width  measure.Length `json:"width_mm"`
	Length measure.Length `json:"length_mm"`
	// Sure is the length that 19 of 20 such warps give.
	Sure measure.Length `json:"length95_mm"`
	// Weft is how much of that the weft of the last piece allows; nil is not known. WeftSure
	// is how much of Sure it allows 19 times in 20.
	Weft     *measure.Length `json:"weft_allows_mm"`
	WeftSure measure.Length  `json:"weft_allows95_mm"`
	// Pieces is how many the last piece can be made to have on its warp, one more than it
	// has; 0 where there is not yarn enough, or others share the warp.
	Pieces int `json:"pieces_possible,omitempty"`
}

// StillOnWarp is what the warp of pieces still gives when those that are on the loom are woven,
// by what was read last; nil where none is.
func (s Shelf) StillOnWarp(pieces []stash.Piece) (*OnWarp, error) {
	on := slices.DeleteFunc(slices.Clone(pieces),
		func(p stash.Piece) bool { return p.Plan == nil || p.State != stash.OnLoom })
	if len(on) == 0 {
		return nil, nil
	}
	last := slices.MaxFunc(on, func(a, b stash.Piece) int { return a.Plan.Place() - b.Plan.Place() })
	r, err := Remaining(s, last, last.LastTape())
	if err != nil {
		return nil, err
	}
	out := &OnWarp{After: last.Name, Length: r.AfterPiece, Sure: r.AfterSure}
	out.Width = measure.Length(int64(last.Plan.Width) * int64(last.Plan.WarpEnds()) /
		int64(max(1, last.Plan.Ends)))
	if r.Weft != nil {
		toCome := r.Finished - r.AfterPiece // of the piece itself, and what lies between
		allows := max(0, min(r.AfterPiece, *r.Weft-toCome))
		out.Weft = &allows
		out.WeftSure = max(0, min(r.AfterSure, r.WeftSure-toCome))
	}
	return out, nil
}

// Remaining says what the warp of a piece on the loom still gives when the
// tape, under tension, reads woven. The last max(waste, fringe) of each end
// stays unwoven.
func Remaining(s Shelf, piece stash.Piece, woven measure.Length) (Rest, error) {
	if piece.Plan == nil || piece.State != stash.OnLoom {
		return Rest{}, stash.Refuse(stash.CodeRefused, "", "%s is not on the loom", piece.Name)
	}
	p := piece.Plan
	s = s.Taught()
	b := p.Spec
	reopen(&b, p.Set, nil)
	set := s.weaverOf().OnLoom(learn.Question{Project: b}, piece)
	spec := s.specOf(set.Fill(b))
	spec.Cloth.Picks, spec.Losses.Beating = counted(piece, spec.Cloth.Picks, spec.Losses.Beating)
	w := onRods{s: s, set: set, spec: spec, wound: float64(p.Warped(stash.Measures{}) +
		s.spared(piece))}
	w.taut, w.slack = bare(spec)
	w.wound -= w.lostBy(piece)
	if most := w.reach(chance.AsGoodAsCertain); float64(woven) > most+1 {
		return Rest{}, stash.Refuse(stash.CodeInput, "read the tape again"+s.keptForFringe(spec),
			"%s woven is more than the warp holds: the tape can read at most %s",
			woven.Cloth(s.Settings.Units), floor(most).Cloth(s.Settings.Units))
	}
	r := w.rest(piece, woven)
	odds, err := s.weftOdds(piece, b)
	if err != nil {
		return r, err
	}
	if r.WeftShort = 1 - odds.Probability; odds.Verdict == chance.Unknown {
		r.WeftUnknown = s.labels(odds.Unmeasured)
	}
	if woven == 0 {
		r.Unwound = unwound(piece)
	}
	r.One = s.oneYarn(b)
	r.Picks, r.BeatOff = beatOff(piece, set)
	if r.Buys, err = s.loomBuys(piece, b, odds); err != nil {
		return r, err
	}
	return r, s.restOfWeft(&r, piece, spec, set)
}

// LeftOff is how much more warp would be left than was read of it last, by the length wound
// and by losses that its project states, as shares of the warp; 0 where no such reading is. Where
// the losses are open they are learned from it instead.
func (s Shelf) LeftOff(piece stash.Piece) float64 {
	if len(piece.Readings) == 0 || piece.Readings[len(piece.Readings)-1].Left == 0 {
		return 0
	}
	p, s := piece.Plan, s.Taught()
	b := p.Spec
	reopen(&b, p.Set, nil)
	set := s.weaverOf().OnLoom(learn.Question{Project: b}, piece)
	w := onRods{s: s, set: set, spec: s.specOf(set.Fill(b)), wound: float64(p.Warped(stash.Measures{}) + s.spared(piece))}
	w.taut, w.slack = bare(w.spec)
	return w.lostBy(piece) / w.wound
}

// lostBy is how much shorter than they were wound the ends are, slack, by the warp that was left
// when it was read last, where the losses are stated and cannot be learned from that.
func (w onRods) lostBy(piece stash.Piece) float64 {
	if !w.set.Stretch.Given || !w.set.Strain.Given || piece.Plan.Shared != nil {
		return 0
	}
	for _, x := range slices.Backward(piece.Readings) {
		if x.Left > 0 && x.Tape > 0 {
			longer := 1 + w.set.Strain.Value.Float()
			on := (w.reach(0.5) - float64(x.Tape)) + w.taut + w.slack*longer
			return (on - float64(x.Left)) / longer
		}
	}
	return 0
}

// Both is the probability that the warp reaches and the weft is enough. A warp that is wound
// reaches by how straight it lies, the weft is enough by everything else but a little strain:
// the two are taken as independent.
func (r Rest) Both() float64 { return (1 - r.Short) * (1 - r.WeftShort) }

// ReachedBy says what 19 of 20 such warps reach: a length of each piece, or by how little it
// is less than the one planned where both are written alike.
func (r Rest) ReachedBy(planned measure.Length, units measure.System) string {
	if sure := r.FinishedSure.Planned(units); sure != planned.Planned(units) {
		return sure + " is reached on 19 of 20 such warps"
	}
	return "19 of 20 such warps lack no more than " +
		max(measure.Millimetre, planned-r.FinishedSure).Cloth(units)
}

// oneYarn says whether a project names the same packages for warp and weft.
func (s Shelf) oneYarn(b stash.ProjectFacts) bool {
	return slices.EqualFunc(s.Named(b.Warp), s.Named(b.Weft),
		func(p, q stash.Package) bool { return p.ID == q.ID })
}

// keptForFringe says how much of every end the fringes keep, where the waste is less.
func (s Shelf) keptForFringe(spec planner.Spec) string {
	if fringes := spec.Edges.Fringes(); fringes > spec.Slack(spec.Loom.Front+spec.Loom.Back) {
		return "; " + fringes.Cloth(s.Settings.Units) +
			" of every end are kept for the fringes, which are longer than the waste"
	}
	return ""
}

// evenBeat is how near to the picks planned nobody is told of: counting over a hand's width
// is no better (common practice, no source).
const evenBeat = 0.02

// beatOff is the picks that were counted on the loom, and by how much they are off where that
// is more than the beat is in doubt by.
func beatOff(p stash.Piece, set learn.Set) (measure.Sett, measure.Ratio) {
	planned := p.Plan.Spec.Picks
	picks, _ := counted(p, 0, 0)
	if picks == 0 || planned <= 0 {
		return 0, 0
	}
	off := float64(picks)/float64(planned)/(1+set.Beat.Value.Float()) - 1
	if math.Abs(off) <= max(evenBeat, set.Beat.U.Float()) {
		return 0, 0
	}
	return picks, measure.RatioOf(off)
}

// counted is the picks that were counted on the loom, else those planned and how many
// more are beaten.
func counted(p stash.Piece, planned measure.Sett, more measure.Ratio) (measure.Sett,
	measure.Ratio) {
	for _, x := range slices.Backward(p.Readings) {
		if x.Picks > 0 && x.Over > 0 {
			return measure.Sett(float64(x.Picks)/float64(x.Over)*1e6 + 0.5), 0
		}
	}
	return planned, more
}

// spared is the warp of each end that pieces before the last of a shared warp left of
// their parts, by what the tape read of them; below zero where they took more.
func (s Shelf) spared(piece stash.Piece) (left measure.Length) {
	if shared := piece.Plan.Shared; shared == nil || shared.Place < shared.Of {
		return 0
	}
	for _, p := range s.Pieces {
		if p.SharesWarp(piece) && p.Finish != nil {
			left += unwoven(s.specOf(p.Plan.Spec), p.Plan, p.Finish.Measures)
		}
	}
	return left
}

// onRods is a warp on the loom.
type onRods struct {
	s                  Shelf
	set                learn.Set
	spec               planner.Spec
	wound, taut, slack float64
}

func (w onRods) reach(share float64) float64 { return w.set.Reach(w.wound, w.taut, w.slack, share) }

func (w onRods) rest(piece stash.Piece, woven measure.Length) Rest {
	p, n := piece.Plan, float64(w.spec.Pieces)
	hem := float64(w.spec.Edges.Hem)
	finished := float64(p.Length) + hem
	target := w.set.Tape(finished, 0.5)
	reach, sure := w.reach(0.5), w.reach(0.05)
	r := Rest{
		Woven: woven, Reach: floor(reach), Sure: floor(sure), Tape: floor(reach - float64(woven)),
		Binding: "warp",
		Target:  floor(target + 0.5),
		TargetU: floor((w.set.Tape(finished, 0.841)-w.set.Tape(finished, 0.159))/2 + 0.5),
		AtPlan:  floor(w.set.Finished(float64(p.Tape), 0.5) - hem + 0.5),
		Short:   w.set.Short(w.wound, w.taut, w.slack, (target-1)*n),
		Stretch: w.set.Stretch.Value, Strain: w.set.Strain.Value, Planned: ratio(p.Spec.Stretch),
	}
	r.Finished = floor(w.set.Finished(float64(r.Tape), 0.5))
	r.TapeSure = floor(sure - float64(woven))
	r.FinishedMore = floor(w.set.Finished(float64(r.TapeSure), 0.5))
	bent := w.spec.Losses.WarpTakeUp.Float()
	r.FewerGain = floor(float64(r.Finished) * ((1+bent)/(1+0.9*bent) - 1))
	r.Further = floor(float64(r.Target)*n - float64(woven))
	r.FinishedSure = floor(w.set.Finished(sure/n, 0.5) - hem)
	r.TieOn = floor(w.set.Warp(target*n, w.taut, w.slack, 0.95) - w.wound)
	gap := float64(w.spec.Edges.Fringes()) * (1 + w.spec.Losses.Strain.Float())
	r.AfterPiece = floor(w.set.Finished(max(0, reach-target*n-gap), 0.5) - hem)
	r.AfterSure = floor(w.set.Finished(max(0, sure-target*n-gap), 0.5) - hem)
	if now, after := w.set.Relaxing(max(300, float64(woven)/n)); after < 0.8*now {
		r.Worth = "let the tension off and read the same web again (--relaxed): it would bring " +
			measure.PlusMinus(now) + " of the finished length to " + measure.PlusMinus(after)
	}
	return r
}

func floor(mm float64) measure.Length { return measure.Length(max(0, mm)) }

// Another is the answer to "a longer warp now, or a new warp later?".
type Another struct {
	// Longer has one more piece on the same warp; First is the project as it
	// stands, Later a new warp from what First leaves.
	Longer, First, Later Outcome
}

// WithAnother plans a project with one more piece, on a longer warp and on a
// warp of its own.
func WithAnother(s Shelf, b stash.ProjectFacts) (Another, error) {
	var a Another
	var err error
	if a.First, err = Plan(s, b); err != nil {
		return a, err
	}
	more := b
	more.Pieces = max(1, b.Pieces) + 1
	if a.Longer, err = Plan(s, more); err != nil {
		return a, err
	}
	left := s
	left.Claims = maps.Clone(s.Claims)
	if left.Claims == nil {
		left.Claims = map[stash.PackageID]measure.Mass{}
	}
	for _, allot := range a.First.Allotments {
		left.Claims[allot.Package] += allot.Mass
	}
	one := b
	one.Pieces = 1
	a.Later, err = Plan(left, one)
	return a, err
}
