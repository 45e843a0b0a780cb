package learn

import (
	"fmt"
	"math"

	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// OnLoom is what is believed of a piece that is on the loom: the losses of its project,
// and what was read of this very warp.
func (w *Weaver) OnLoom(q Question, p stash.Piece) Set {
	set := w.Losses(q)
	readings := append(w.shelf.onLoom(p), w.shelf.midway(p)...)
	kept, left := believeTold(p, readings)
	var told []levels.Reading
	for _, t := range kept {
		told = append(told, t.Reading)
	}
	set.LeftOut = append(set.LeftOut, left...)
	return set.with(told...)
}

// Untrue names what readings on the loom say that cannot be.
func (w *Weaver) Untrue(p stash.Piece) []LeftOut {
	_, left := believeTold(p, append(w.shelf.onLoom(p), w.shelf.midway(p)...))
	return left
}

// with is a set of which some was read: the figures that it leaves open follow.
func (s Set) with(readings ...levels.Reading) Set {
	if len(readings) == 0 {
		return s
	}
	s.Along = s.Along.Given(readings...)
	mean, cov := s.Along.Moments()
	for i, f := range s.figures() {
		if kinds[i].d == lengthwise && !f.Given {
			f.Value, f.U = kinds[i].of(mean, cov)
		}
	}
	return s
}

// Tape is what the tape must read for a finished length that so many of all pieces
// do not pass; in mm.
func (s Set) Tape(finished, share float64) float64 { return s.scaled(finished, share, 1) }

// Finished is what a tape finishes as, which so many of all pieces do not pass.
func (s Set) Finished(tape, share float64) float64 { return s.scaled(tape, share, -1) }

func (s Set) scaled(length, share, sign float64) float64 {
	if length <= 0 {
		return 0
	}
	return s.Along.Quantile(share, func(th levels.Vector) (float64, levels.Vector) {
		g := finishingOf
		for i := range g {
			g[i] *= sign
		}
		return math.Log(length) + g.Dot(th), g
	})
}

// Reach is what the tape can read on ends of a length before the bare warp is reached,
// which so many of all pieces do not pass: ((S − slack)(1+ε) − W)/(1+c_t).
func (s Set) Reach(wound, taut, slack, share float64) float64 {
	if wound <= taut+slack {
		return 0
	}
	return s.Along.Quantile(share, reachOf(wound, taut, slack))
}

func reachOf(wound, taut, slack float64) levels.Target {
	return func(th levels.Vector) (float64, levels.Vector) {
		on := (wound - slack) * math.Exp(th[strain])
		cloth := math.Max(on-taut, 1)
		return math.Log(cloth) - th[straight], levels.Vector{strain: on / cloth, straight: -1}
	}
}

// Short is the probability that the tape cannot come to a reading on ends of a length.
func (s Set) Short(wound, taut, slack, tape float64) float64 {
	if wound <= taut+slack {
		return 1
	}
	return s.Along.Below(tape, reachOf(wound, taut, slack))
}

// Relaxing is what a reading of the web with the tension off would bring the standard
// deviation of the finished length to, as shares of it: now, and after.
func (s Set) Relaxing(tape float64) (now, after float64) {
	now, _ = s.Along.Spread(finishingOf)
	r := levels.Reading{Take: stretchOf, Errors: []levels.Error{{Of: "taut", By: tapeError / tape},
		{Of: "slack", By: -clothError / tape}}}
	return now, s.Along.After(finishingOf, r, true)
}

// SizeRests says how sure the finished length is, and what a sample of the same cloth, woven
// to a length of tape, washed and measured, would make of it; empty where it would not
// tell a tenth.
func (s Set) SizeRests(tape float64) string {
	now, _ := s.Along.Spread(finishingOf)
	after := s.Along.After(finishingOf, levels.Reading{Take: finishingOf, Errors: []levels.Error{
		{Of: "tape", By: tapeError / tape}, {Of: "finished", By: -clothError / tape}}}, false)
	if after > 0.9*now {
		return ""
	}
	return fmt.Sprintf("%s; a sample of the same cloth, %.0f cm of tape, washed and measured, makes it %s; a reading with the tension off while it is on the loom %s",
		measure.PlusMinus(now), tape/10, measure.PlusMinus(after), measure.PlusMinus(s.relaxed(tape)))
}

// relaxed is what a reading with the tension off leaves of the doubt of the finished length.
func (s Set) relaxed(tape float64) float64 {
	_, after := s.Relaxing(tape)
	return after
}
