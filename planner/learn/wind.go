package learn

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"endsmeet/planner/levels"
	"endsmeet/stash/measure"
)

// Warp is the length of an end, in mm, that so many of all pieces need no more than: for
// a tape, so much bare warp under tension, and so much more that is cut slack.
//
//	S = (T(1 + c_t) + W)/(1 + ε) + slack
//
// The waste differs from piece to piece by itself (scatterWaste): the two distances from the
// middle add up as independent errors do.
func (s Set) Warp(tape, taut, slack, share float64) float64 {
	end := endFor(tape, taut, slack)
	return s.warp(end, s.Along.Quantile(0.5, end), share)
}

// warp is Warp where the middle of the ends is known.
func (s Set) warp(end levels.Target, middle, share float64) float64 {
	z := distuv.UnitNormal.Quantile(share)
	apart := math.Hypot(s.Along.Quantile(share, end)-middle, z*float64(scatterWaste))
	return middle + math.Copysign(apart, z)
}

// WarpReaches is for what share of pieces an end of so many mm wound is enough.
func (s Set) WarpReaches(tape, taut, slack, wound float64) float64 {
	end := endFor(tape, taut, slack)
	middle := s.Along.Quantile(0.5, end)
	low, high := 0.0001, 0.9999
	for range 20 {
		if share := (low + high) / 2; s.warp(end, middle, share) <= wound {
			low = share
		} else {
			high = share
		}
	}
	return low
}

// endFor is the logarithm of an end.
func endFor(tape, taut, slack float64) levels.Target {
	return func(th levels.Vector) (float64, levels.Vector) {
		woven, bare := tape*math.Exp(th[straight]-th[strain]), taut*math.Exp(-th[strain])
		end := woven + bare + slack
		return math.Log(end), levels.Vector{strain: -(woven + bare) / end, straight: woven / end}
	}
}

// WarpRests says what the length of a warp rests on, and what would make it surer.
func (s Set) WarpRests(tape, taut, slack float64) string {
	mean, _ := s.Along.Moments()
	_, end := endFor(tape, taut, slack)(mean)
	now, scatter := s.Along.Spread(end)
	after := s.Along.After(end, balanceOf(tape, taut, slack), false)
	switch {
	case now < 1.15*scatter || after > 0.9*now:
		return measure.PlusMinus(now) + ", by which pieces differ"
	case s.Balanced == 0:
		return measure.PlusMinus(now) + " by the handbook, since no piece of this yarn has both its wound length and its waste on record; both of one piece make it " +
			measure.PlusMinus(after)
	}
	return measure.PlusMinus(now) + "; wound length and waste of one more piece make it " +
		measure.PlusMinus(after)
}

// balanceOf is the reading that the wound length and the waste of a piece like this give.
func balanceOf(tape, taut, slack float64) levels.Reading {
	on := tape + taut
	return levels.Reading{Take: levels.Vector{strain: 1, straight: -tape / on},
		Errors: []levels.Error{
			{Of: "wound", By: woundError * (on + slack) / on}, {Of: "waste", By: wasteError / on},
			{Of: "tape", By: tapeError / on},
		}}
}
