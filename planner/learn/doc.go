// Package learn says which losses and counts to allow for a piece that is
// planned, from the pieces that were finished before and from handbook values,
// and compares a finished piece with its plan. It is pure: no input, no output,
// no clock.
//
// # The model
//
// Losses multiply, so their logarithms add. Every loss r is kept as ln(1 + r)
// (stretch, take-up) or ln(1 − r) (shrinkage, draw-in), and a figure is a
// normal distribution of that. It starts as the handbook value with the spread
// among yarns (Prior tables in prior.go, each with its source), and every
// finished piece is an observation with the scatter between pieces. The normal
// distribution is conjugate to itself: with prior N(m, t²) and n observations of
// mean y and scatter s,
//
//	mean = (m/t² + n·y/s²) / (1/t² + n/s²),   variance = 1 / (1/t² + n/s²)
//
// (any text on normal–normal estimation; checked in the tests against gonum's
// conditioning of a joint normal). So few pieces move the handbook value a
// little and many pieces replace it.
//
// A piece that was not measured between loom and washing tells only the sum of
// two losses. The pairs (stretch, shrink_length), (draw_in, shrink_width) and
// (weft_take_up, error of the count) are therefore estimated together as normal
// distributions of two quantities, and a sum is an observation of the sum.
//
// # Which pieces
//
// A figure hangs on yarn, structure, sett and washing. Pieces count on three
// rungs, the wider ones less because the losses of a yarn stray from those of its
// class, and those of a cloth from those of its yarn:
//
//	cloth   the same yarns in warp and weft, structure and washing, sett within a tenth
//	yarn    the same yarn in the direction of the loss (warp for length, weft for width)
//	class   the same class of fibre in that direction, and the same structure
//
// The variance of the handbook value is shared out among the rungs: 0.4 between
// the class and the handbook, 0.4 between yarn and class, 0.2 between cloth and
// yarn (common practice, no source). With nothing on any rung the handbook value
// stands, and says so.
//
// Nothing is learned from a piece marked as unusual, from a measure that was not
// taken, or from one that cannot be true (LeftOut names it).
package learn
