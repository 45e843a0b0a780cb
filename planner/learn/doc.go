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
//
// # How often it asks
//
// In simulation (1,072 weavers of cotton, none known, twelve pieces each; package making,
// TestWhatIsAskedAbout) it asks about 0.5 % of the right pieces of careful weavers, 1.0 % of
// usual and 4.6 % of careless ones, 1 to 3 % of each number of piece; most, 9 %, of careless
// ones who measure what is left of ends whose length they never tell. Of slips it asks about,
// at a weaver's first piece and from her fourth: inches for centimetres 100 and 100 %, two
// digits of a length swapped 79 and 93, of a width 95 and 99, 30 cm of tape forgotten 97 and
// 100, the waste of one side 100 and 100, a cone weighed too 100 and 100, ends 40 cm longer
// than planned 100 and 99, 20 cm longer 56 and 73, hems of 20 cm in all 34 and 90, of 10 cm 4
// and 34, a web off the loom still taut 8 and 54. Hems of a usual width are not found by
// statistics: the finish asks.
package learn
