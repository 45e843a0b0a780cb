package planner

import (
	"endsmeet/stash/measure"
)

// warpLines are the lines of one warp end. Running totals are rounded up, so
// that the lines add up to the warp end exactly.
func (s Spec) warpLines() []Allowance {
	n := measure.Length(s.Pieces)
	cloth := n * s.woven()
	relaxed := measure.Length(s.relaxing().ceil(int64(cloth)))
	taken := measure.Length(s.taking().ceil(int64(s.woven())))
	front, back := s.Slack(s.Loom.Front), s.Slack(s.Loom.Back)
	return spoken([]Allowance{
		{"cloth", n * s.Size.Length, measure.Counted(s.Pieces, "piece") + " at finished length"},
		{"hems", n * s.Edges.Hem, "turned in, for " + measure.Counted(s.Pieces, "piece")},
		{"wet shrinkage", relaxed - cloth, "divided by 1 less " + s.Losses.WetLength.String()},
		{"take-up", taken - relaxed, s.Losses.WarpTakeUp.String() +
			" of the cloth, over and under the weft"},
		{"between pieces", (n - 1) * s.gap(), s.between() + ", " + measure.Counted(s.Pieces-1, "time")},
		{"front waste", front, "tied on, cannot be woven" + cutFrom(s.Edges.Start())},
		{"front fringe", max(0, s.Edges.Start().Raw()-front),
			"what the front waste does not cover"},
		{"back waste", back, "stays at the back of the loom" + cutFrom(s.Edges.Last())},
		{"back fringe", max(0, s.Edges.Last().Raw()-back), "what the back waste does not cover"},
		{"sample", s.Loom.Sample, "kept for sampling"},
		{"header", s.Loom.HeaderWarp, "woven once to spread the warp"},
		{"margin", s.Loom.Margin,
			"19 of 20 pieces need no more; half of them need more than the middle"},
	})
}

// between names what lies between two pieces on the warp.
func (s Spec) between() string {
	if s.Loom.Gap > 0 {
		return "left between them"
	}
	return "fringes"
}

// cutFrom says of a waste that it serves a fringe, if there is one.
func cutFrom(e End) string {
	if e.Raw() == 0 {
		return ""
	}
	return "; the fringe is cut from it as far as it goes"
}

// width names the width on which the weft is reckoned.
func (s Spec) width() string {
	if s.Weft.OnReedWidth {
		return "reed width"
	}
	return "cloth width after draw-in"
}

// spoken drops the lines that say nothing.
func spoken(lines []Allowance) []Allowance {
	kept := lines[:0]
	for _, l := range lines {
		if l.Length != 0 {
			kept = append(kept, l)
		}
	}
	return kept
}
