package planner

import "endsmeet/stash/measure"

// Unwoven is the part of an end that no piece is woven from, as wound, without a margin.
func (s Spec) Unwoven() measure.Length {
	return measure.Length(s.Pieces-1)*s.gap() + s.Front() + s.Back() + s.Loom.Sample +
		s.Loom.HeaderWarp
}

// Front and Back are what stays unwoven at the two ends of the warp, as wound: the
// waste, or the fringe where that is longer. A fringe is cut slack.
func (s Spec) Front() measure.Length { return max(s.Edges.Start().Raw(), s.Slack(s.Loom.Front)) }

// Back is Front at the other end.
func (s Spec) Back() measure.Length { return max(s.Edges.Last().Raw(), s.Slack(s.Loom.Back)) }

// gap is the warp between two pieces.
func (s Spec) gap() measure.Length {
	if s.Loom.Gap > 0 {
		return s.Loom.Gap
	}
	return s.Edges.Fringes()
}

// Slack is the yarn of a length of bare warp that was read under tension.
func (s Spec) Slack(taut measure.Length) measure.Length {
	return measure.Length(newFrac(whole, whole+int64(s.Losses.Strain)).ceil(int64(taut)))
}
