package planner

import (
	"fmt"
	"strconv"

	"endsmeet/stash/measure"
)

// warpLines are the lines of one warp end. Running totals are rounded up, so
// that the lines add up to the warp end exactly.
func (s Spec) warpLines() []Allowance {
	n := measure.Length(s.Pieces)
	cloth := n * s.woven()
	relaxed := measure.Length(s.relaxing().ceil(int64(cloth)))
	taken := measure.Length(s.taking().ceil(int64(s.woven())))
	f := s.Edges.RawFringe()
	return spoken([]Allowance{
		{"cloth", n * s.Size.Length, counted(s.Pieces, "piece") + " at finished length"},
		{"hems", n * s.Edges.Hem, "turned in, for " + counted(s.Pieces, "piece")},
		{"wet shrinkage", relaxed - cloth, "divided by 1 less " + s.Losses.WetLength.String()},
		{"take-up", taken - relaxed, s.Losses.WarpTakeUp.String() + " of the cloth, over and under the weft"},
		{"between pieces", (n - 1) * s.gap(), "fringes or gap, " + counted(s.Pieces-1, "time")},
		{"front waste", s.Loom.Front, "tied on, cannot be woven; the fringe is cut from it as far as it goes"},
		{"front fringe", max(0, f-s.Loom.Front), "what the front waste does not cover"},
		{"back waste", s.Loom.Back, "stays behind the reed; the fringe is cut from it as far as it goes"},
		{"back fringe", max(0, f-s.Loom.Back), "what the back waste does not cover"},
		{"sample", s.Loom.Sample, "kept for sampling"},
		{"header", s.Loom.HeaderWarp, "woven once to spread the warp"},
	})
}

// weftLines are the lines of the whole weft, each rounded up.
func (s Spec) weftLines(threaded int) []Allowance {
	picks := s.picking().ceil(int64(s.woven())) * int64(s.Pieces) * int64(s.Weft.strands())
	flat := measure.Length(s.weftWidth(threaded).ceil(picks))
	crimped := measure.Length(s.pick(threaded).ceil(picks))
	if s.Weft.MassPerArea > 0 {
		flat, crimped = 0, 0
	}
	edges := s.Pieces * s.Edges.HemStitched
	return spoken([]Allowance{
		{"picks", flat, s.width() + ", " + counted(s.Weft.strands(), "strand") + " in each pick"},
		{"take-up", crimped - flat, s.Losses.WeftTakeUp.String() + " of the width, over and under the warp"},
		{"sample", s.sampleWeft(threaded), "woven in the same weft"},
		{"header", s.Loom.HeaderWeft, "woven in the same weft"},
		{"hem-stitching", measure.Length(edges) * s.hemPerEdge(threaded), fmt.Sprintf("%d widths for %s (common practice, no source)", hemWidths, counted(edges, "edge"))},
		{"joins", measure.Length(s.Weft.Joins) * s.Weft.Overlap, counted(s.Weft.Joins, "overlap")},
	})
}

// sampleWeft is the weft that the sample takes.
func (s Spec) sampleWeft(threaded int) measure.Length {
	if !s.Loom.SampleInWeft || s.Weft.MassPerArea > 0 {
		return 0
	}
	picks := newFrac(threadsLow(s.Cloth.Picks), 2*mmPerKm).ceil(int64(s.Loom.Sample))
	return measure.Length(s.pick(threaded).ceil(picks * int64(s.Weft.strands())))
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

// counted is a number with its noun.
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
