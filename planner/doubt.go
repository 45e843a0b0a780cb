package planner

import (
	"math"

	"endsmeet/stash/measure"
)

// Doubt is one error of the weaving, independent of all others: how far one standard
// deviation of it moves what a [Spec] reckons with. Losses that are known only together
// share doubts that move them against each other.
type Doubt struct {
	// Name says what is in doubt: "take-up". It is shared by all that has the same name.
	Name string
	// Losses are added to those of the spec.
	Losses Losses
	// Waste is added at the back of the loom.
	Waste measure.Length
}

// With is s as it stands so many standard deviations of a doubt above the mean. It may
// hold losses below zero, which are no plan but a draw of what may come, and knows no
// limits of the loom, which is planned for and not drawn.
func (s Spec) With(d Doubt, deviations measure.Ratio) Spec {
	by := func(r measure.Ratio) measure.Ratio { return r * deviations }
	l := &s.Losses
	l.WarpTakeUp += by(d.Losses.WarpTakeUp)
	l.WeftTakeUp += by(d.Losses.WeftTakeUp)
	l.WetLength += by(d.Losses.WetLength)
	l.WetWidth += by(d.Losses.WetWidth)
	l.Stretch += by(d.Losses.Stretch)
	l.Strain += by(d.Losses.Strain)
	l.DrawIn += by(d.Losses.DrawIn)
	l.Beating += by(d.Losses.Beating)
	s.Loom.Back = max(0, s.Loom.Back+d.Waste*measure.Length(deviations))
	s.Limits, s.drawn = Limits{}, true
	return s
}

// Spread is how far the finished size may be from the planned one, one standard
// uncertainty each way (JCGM 100:2008, 5.1.2): of a piece that is woven until the tape
// reads what was planned, from the ends that were planned.
func (s Spec) Spread(doubts []Doubt) (width, length measure.Length) {
	var across, along float64
	for _, d := range doubts {
		a, b := s.With(d, 1), s.With(d, -1)
		across += square(math.Log(a.reeding().float() / b.reeding().float()))
		along += square(math.Log(a.taping().float() / b.taping().float()))
	}
	half := func(l measure.Length, sum float64) measure.Length {
		return measure.Length(float64(l)*math.Sqrt(sum)/2 + 0.5)
	}
	return half(s.Size.Width, across), half(s.woven(), along)
}

func square(x float64) float64 { return x * x }
