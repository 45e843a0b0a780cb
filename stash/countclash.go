package stash

import (
	"fmt"
	"math"

	"endsmeet/stash/measure"
)

// clashAt is how many standard uncertainties two counts of one yarn may lie apart
// before one of them is asked about.
const clashAt = 3

// Clash says how a count contradicts the one that is recorded, as a sentence: they lie
// further apart than where they come from allows. Empty where they may both be right.
func (c CountFact) Clash(recorded CountFact, doubts measure.Doubts, units measure.System) string {
	if c.Count <= 0 || recorded.Count <= 0 {
		return ""
	}
	mine, theirs := c.doubt(doubts).Float(), recorded.doubt(doubts).Float()
	apart := math.Log(float64(recorded.Count) / float64(c.Count))
	if math.Abs(apart) <= clashAt*math.Hypot(mine, theirs) {
		return ""
	}
	more, by := "more", math.Expm1(apart)
	if by < 0 {
		more, by = "less", -by
	}
	return fmt.Sprintf("That is %s, %.0f%% %s length than the recorded count gives: %s, %s.",
		c.Count.Format(units), 100*by, more, recorded.Count.Format(units), recorded.Source)
}

// doubt is the relative standard uncertainty of a count: its own, else that of its source.
func (c CountFact) doubt(doubts measure.Doubts) measure.Ratio {
	if c.Doubt != 0 {
		return c.Doubt
	}
	return doubts.Of(c.Source)
}
