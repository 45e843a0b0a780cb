// Package learn says which losses and counts to allow for a piece that is
// planned, from the pieces that were finished before and from handbook values,
// and compares a finished piece with its plan. It is pure: no input, no output,
// no clock.
//
// # The warp under tension
//
// An end is wound slack, S long. Under the tension of the loom its yarn is longer by the
// strain ε. The tape reads T along the taut web, and each end runs T(1+c_t) through it,
// little more than the web is long, since the warp is nearly straight and the weft bends;
// W of it is left bare at both ends. Cut off and relaxed the web is L₀ long, and each end
// runs L₀(1+c) through it, slack. So
//
//	S(1+ε) = T(1+c_t) + W            what is wound is what is on the loom
//	T/L₀   = (1+ε)(1+c)/(1+c_t)      what the tape loses when the tension goes
//	S      = L₀(1+c) + W/(1+ε)       what must be wound
//
// The stretch of a web is therefore two things: yarn that stretched, which leaves warp
// over when the tape says enough, and bending that comes back, which does not. Their
// logarithms, with that of the loss in washing, are four numbers of a piece of which
// everything measured is a sum (quantity.go, observe.go): whatever was measured teaches
// what it can, and the figures that a plan shows (stretch, take-up, strain, shrinkage) are
// sums of the same four, never learned apart. So a plan balances by itself. Width and weft
// go the same way: draw-in, loss in washing, take-up of the weft, picks beaten.
//
// How the four are learned by levels, mean and spread, stands in package levels, with the
// literature; the handbook's values, with where each comes from, in prior.go. Tape,
// off-loom and finished length, however many, never tell how long the warp must be: that
// takes the length wound and what was left.
//
// A count that is off and a take-up of the weft look alike on the scale: the count takes
// its share first (counts.go), the take-up is learned with the count as it then stands.
//
// # What is learned from
//
// Nothing is learned from a piece marked as unusual or set aside later, from a measure
// that was not taken, or from one that cannot be true (LeftOut names it). A measure that
// jumps against what was expected is asked about first (jump.go). Pieces count as of the
// same cloth where yarns, structure and washing are the same and the sett is within a
// tenth; as of the same yarn; as of like fibre.
package learn
