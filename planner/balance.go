package planner

import "endsmeet/stash/measure"

// The balance of the warp under tension: T/L0 = (1+ε)(1+c)/(1+c_t), what the tape loses when
// the tension goes, is yarn that stretched and bending that came back.

// PerTape is the yarn of an end, slack, for each length of the taut web.
func (l Losses) PerTape() float64 { return (1 + l.WarpTakeUp.Float()) / (1 + l.Stretch.Float()) }

// Straight is how much of an end, taut, runs through the taut web, for each of its length:
// 1 + c_t. Below 1 the losses cannot all be true.
func (l Losses) Straight() float64 { return (1 + l.Strain.Float()) * l.PerTape() }

// LeastStrain is the least strain that goes with stretch and take-up.
func (l Losses) LeastStrain() measure.Ratio { return max(0, measure.RatioOf(1/l.PerTape()-1)) }
