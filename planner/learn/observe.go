package learn

import (
	"fmt"
	"math"
	"slices"

	"endsmeet/planner/levels"
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

// leave leaves a measure of a piece out.
func leave(p stash.Piece, name string, ratio float64, why string) LeftOut {
	return LeftOut{p.ID, stash.Clean(p.Name), name, measure.RatioOf(ratio), why}
}

// The range in which an observed loss is believed: outside it a number was
// miscounted (common practice, no source; the worst loss recorded is 50 %). Yarn is never
// shorter than the cloth woven from it, nor the web wider than in the reed or longer when
// it is relaxed, and cloth hardly grows in washing, but for what a tape may miss.
const (
	leastBelieved = -0.02
	mostBelieved  = 0.60
)

// fewest is how many fewer picks than were set are believed: as far below as above. It is
// no loss: a bound that the handbook's spread reaches would cut off one side of what is
// learned, and the mean would be wrong.
const fewest = -mostBelieved / (1 + mostBelieved)

// mostBalance is how far what lies on the loom may differ from what was wound (common
// practice, no source; two published warps differ by 2.2 and 1.0 %).
const mostBalance = 0.12

// ruleDoubt is how far Peirce's geometry may miss the take-up of a real cloth
// (common practice, no source).
const ruleDoubt = 0.04

// The standard uncertainties of measures (common practice, no source).
const (
	tapeError   = 3.0   // mm, along a web under tension
	clothError  = 4.0   // mm, off the loom
	wasteError  = 10.0  // mm, both ends together
	widthError  = 3.0   // mm
	woundError  = 0.007 // of the length: the pegs of a board
	boardError  = 0.02  // of the length planned, where none was told
	picksError  = 0.004 // of the picks
	asPlanned   = 0.02  // of the tape planned, where none was read
	scatterWeft = 0.03
)

// claim is a figure that a measure tells of, and its ratio.
type claim struct {
	name  string
	ratio float64
	most  float64 // 0: as any loss
}

func (c claim) claimed() claim { return c }

// told is one reading of a piece.
type told struct {
	levels.Reading
	claim
}

func tells(name string, take levels.Vector, num, den, ratio float64, errors ...levels.Error) told {
	return told{levels.Reading{Name: name, Take: take, Value: math.Log(num / den), Errors: errors},
		claim{name: name, ratio: ratio}}
}

// The names of what only measures together tell.
const (
	balance = "the warp wound, woven and left"
	parted  = stretch + " and " + shrinkLength
	narrow  = drawIn + " and " + shrinkWidth
	beat    = "picks"
)

// countError is the error of a count in what was weighed.
const countError = "count"

// alongWarp reads what the lengths of a piece tell.
func alongWarp(w warped, r readings) []told {
	tape, off := levels.Error{Of: "tape", By: tapeError / r.tape},
		levels.Error{Of: "off the loom", By: -clothError / r.off}
	out := w.balance(r)
	if r.tape > 0 && r.off > 0 {
		out = append(out, tells(stretch, stretchOf, r.tape, r.off, r.tape/r.off-1, tape, off))
	}
	finished := levels.Error{Of: "finished", By: -clothError / r.wet}
	switch {
	case r.wet == 0:
	case r.off > 0:
		off.By = -off.By
		out = append(out, tells(shrinkLength, shrinkOf, r.off, r.wet, 1-r.wet/r.off, off, finished))
	case r.tape > 0:
		out = append(out, tells(parted, finishingOf, r.tape, r.wet, 1-r.wet/r.tape, tape, finished))
	case r.planned > 0:
		out = append(out, tells(parted, finishingOf, r.planned, r.wet, 1-r.wet/r.planned,
			levels.Error{Of: "as planned", By: asPlanned}, finished))
	}
	return out
}

// onLoom reads what webs that were relaxed on the loom tell.
func (s Shelf) onLoom(p stash.Piece) []told {
	var out []told
	for i, x := range p.Readings {
		if taut, slack := mm(x.Tape), mm(x.Relaxed); taut > 0 && slack > 0 {
			out = append(out, tells(stretch, stretchOf, taut, slack, taut/slack-1,
				levels.Error{Of: fmt.Sprint("taut ", i), By: tapeError / taut},
				levels.Error{Of: fmt.Sprint("slack ", i), By: -clothError / slack}))
		}
	}
	return out
}

// midway balances the warp by the last reading that says what was left to weave.
func (s Shelf) midway(p stash.Piece) []told {
	for _, x := range slices.Backward(p.Readings) {
		if x.Left > 0 && x.Tape > 0 {
			w := s.warpOf(p.Plan, readings{pieces: 1, wasteTaut: mm(x.Left),
				wound: mm(p.Plan.Wound)})
			return w.balance(readings{tape: mm(x.Tape)})
		}
	}
	return nil
}

// warped is the warp of a piece: what was wound, and what of it was not woven, as it
// lay under tension and as it was cut off, in mm.
type warped struct {
	wound, doubt float64
	taut, slack  float64
	known        bool
}

// balance states that what was wound is what is on the loom, S(1+ε) = T(1+c_t) + W:
// of the tape where it was read, else of the cloth off the loom.
func (w warped) balance(r readings) []told {
	wound, waste := w.wound-w.slack, w.taut
	if !w.known || wound <= 0 {
		return nil
	}
	scale := w.wound / wound
	errors := []levels.Error{{Of: "wound", By: -w.doubt * scale},
		{Of: "waste", By: wasteError / wound}}
	switch {
	case r.tape > 0:
		share := r.tape / (r.tape + waste)
		errors = append(errors, levels.Error{Of: "tape", By: share * tapeError / r.tape})
		one := tells(balance, levels.Vector{strain: 1, straight: -share}, r.tape+waste, wound,
			(r.tape+waste)/wound-1, errors...)
		one.most = mostBalance
		inCloth := claim{name: crimpWarp, ratio: (wound-waste)/r.off - 1}
		if r.off > 0 && one.believed() && !inCloth.believed() {
			one.claim = inCloth
		}
		return []told{one}
	case r.off > 0 && wound > waste:
		for i := range errors {
			errors[i].By *= -1
		}
		take := takeUpOf
		take[strain] = -waste / (wound - waste)
		return []told{tells(crimpWarp, take, wound-waste, r.off, (wound-waste)/r.off-1,
			append(errors, levels.Error{Of: "off the loom", By: -clothError / r.off})...)}
	}
	return nil
}

// acrossWarp reads what the widths and the picks of a piece tell.
func acrossWarp(r readings) []told {
	reed, off := levels.Error{Of: "reed", By: widthError / r.reed},
		levels.Error{Of: "width off the loom", By: widthError / r.offWidth}
	finished := levels.Error{Of: "finished width", By: -widthError / r.width}
	var out []told
	if r.reed > 0 && r.offWidth > 0 {
		out = append(out, tells(drawIn, drawInOf, r.reed, r.offWidth, 1-r.offWidth/r.reed, reed,
			levels.Error{Of: off.Of, By: -off.By}))
	}
	if r.offWidth > 0 && r.width > 0 {
		out = append(out, tells(shrinkWidth, shrinkWideOf, r.offWidth, r.width,
			1-r.width/r.offWidth, off, finished))
	}
	if r.reed > 0 && r.offWidth == 0 && r.width > 0 {
		out = append(out, tells(narrow, narrowingOf, r.reed, r.width, 1-r.width/r.reed, reed,
			finished))
	}
	if r.picks > 0 && r.tape > 0 && r.picksPlanned > 0 {
		planned := r.tape * r.picksPlanned
		out = append(out, tells(beat, beatingOf, r.picks, planned, r.picks/planned-1,
			levels.Error{Of: "picks", By: picksError},
			levels.Error{Of: "tape", By: tapeError / r.tape}))
	}
	return out
}

// inWeft reads the take-up of the weft from yarn that was weighed, which has a length
// only through its count.
func (s Shelf) inWeft(p stash.Piece, r readings) []told {
	flat, hem, ok := flatWeft(p, r)
	uses, weighed := s.weighed(p, stash.RoleWeft, nil)
	if !ok || !weighed || flat <= 0 {
		return nil
	}
	var length, doubt, scale float64
	for _, u := range uses {
		y := s.Yarns[u.yarn]
		l, known := measure.LengthOf(u.mass, y.Tex())
		if !known {
			return nil
		}
		length, doubt, scale = length+mm(l), math.Max(doubt, s.doubtOf(y)),
			math.Max(scale, s.scaleDoubt(u.mass))
	}
	yarn := length - hem
	if yarn <= 0 {
		return nil
	}
	return []told{tells(crimpWeft, weftTakeUpOf, yarn, flat, yarn/flat-1,
		levels.Error{Of: countError, By: doubt},
		levels.Error{Of: "scale", By: math.Hypot(scale, scatterCount)},
		levels.Error{Of: "width off the loom", By: -widthError / r.offWidth})}
}

// all is everything that the measures of a piece tell, lengthwise and widthwise.
func (s Shelf) all(p stash.Piece) [2][]told {
	r := readingsOf(p.Plan, p.Finish.Measures)
	w := s.warpOf(p.Plan, r)
	lengths := s.onLoom(p)
	if !w.known {
		lengths = append(lengths, s.midway(p)...)
	}
	return [2][]told{
		lengthwise: append(lengths, alongWarp(w, r)...),
		widthwise:  slices.Concat(acrossWarp(r), s.inWeft(p, r)),
	}
}

// believe keeps the measures that can be true and names the others.
func believe[T interface{ claimed() claim }](p stash.Piece, all []T) (kept []T, left []LeftOut) {
	for _, one := range all {
		c := one.claimed()
		if c.believed() {
			kept = append(kept, one)
			continue
		}
		left = append(left, leave(p, c.name, c.ratio, c.disbelief()))
	}
	return kept, left
}

// lengthsOnly are the figures that two lengths or widths tell: where one cannot be, one of
// these two was misread, and so is whatever else rests on it.
var lengthsOnly = []string{stretch, shrinkLength, parted, drawIn, shrinkWidth, narrow}

// believeTold keeps the readings that can be true, and rest on no measure of one that
// cannot, and names the others.
func believeTold(p stash.Piece, all []told) (kept []told, left []LeftOut) {
	possible, left := believe(p, all)
	suspect := map[string]string{}
	for _, t := range all {
		for _, e := range t.Errors {
			if !t.believed() && slices.Contains(lengthsOnly, t.name) {
				suspect[e.Of] = t.name
			}
		}
	}
	for _, t := range possible {
		i := slices.IndexFunc(t.Errors, func(e levels.Error) bool { return suspect[e.Of] != "" })
		if i < 0 {
			kept = append(kept, t)
			continue
		}
		left = append(left, leave(p, t.name, t.ratio, fmt.Sprintf(
			"it rests on the same measure as %s, which cannot be", InWords(suspect[t.Errors[i].Of]))))
	}
	return kept, left
}

func (c claim) believed() bool {
	if c.most > 0 {
		return math.Abs(c.ratio) <= c.most
	}
	return c.ratio >= c.least() && c.ratio <= mostBelieved
}

// least is the least that is believed of it.
func (c claim) least() float64 {
	if c.name == beat {
		return fewest
	}
	return leastBelieved
}

func (c claim) disbelief() string {
	if c.most > 0 {
		what := "more"
		if c.ratio < 0 {
			what = "less"
		}
		return fmt.Sprintf("woven and left together are %s %s than was wound: one of the three must be wrong",
			measure.InPercent(math.Abs(c.ratio)), what)
	}
	limit := fmt.Sprintf("more than %v", measure.RatioOf(mostBelieved))
	if c.ratio < c.least() {
		limit = fmt.Sprintf("less than %v", measure.RatioOf(c.least()))
	}
	return fmt.Sprintf("%s is %s: one of the measures must be wrong", measure.InPercent(c.ratio), limit)
}

// teaches says whether anything may be learned from a piece.
func teaches(p stash.Piece) bool {
	return p.State == stash.Finished && p.Plan != nil && p.Finish != nil && p.Taught()
}
