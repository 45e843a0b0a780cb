// Package planner computes what a piece needs: how many ends, how long each of
// them must be, how wide the reed, how many picks, how much weft, and how the
// fringe comes out even. It holds pure functions over values: no input, no
// output, no clock, no randomness.
//
// [Need] answers for one [Spec] (one warp, one or more equal pieces on it).
// [Spec.WarpLine] and [Spec.WeftLine] give the same amounts as exact functions
// of the finished length, for those who look for the greatest length that
// fits. [Edges] answers whether the ends divide evenly into bunches.
//
// Formulas (design page, section 4), with lengths in millimetres, setts in
// threads per 1000 m and ratios in parts per million:
//
//	relaxed length  Lr = (Lf + hem) / (1 - sw)
//	on the tape     Lt = Lr (1 + x)
//	warp end        l  = h + header + n Lr (1 + cw) + (n-1) gap + max(a, F) + max(b, F)
//	reed width      Wr = Wf / ((1 - sx)(1 - d))
//	threaded ends   E  = the least multiple of M that is not below Wr e
//	cloth width     Wc = E / e (1 - d), finished Wc (1 - sx)
//	picks           N  = ceil(Lt p) for each piece
//	weft            n N s Wc (1 + cx) + hem-stitching + sample + header + joins
//
// Everything is integer arithmetic on exact fractions. What is needed is
// rounded up to the next millimetre or milligram; the size that comes out is
// rounded down. Floating selvedges are extra ends of the same length, outside
// the count E of threaded ends.
package planner
