// Package search finds what the yarn on a shelf makes: the best choices of one
// lot for warp and weft, of a lot for each, and of several colours in the warp.
//
// # What is chosen among
//
// A lot is all free packages of one yarn, colour and dye lot. A choice takes
// one lot for each colour of the warp and one for the weft, so no area mixes
// dye lots; the warp's own lot may be its weft. Colours of one warp differ. Left
// out is what is barred (on loan, in quarantine, promised, retired), what is
// unfit for its part, what is of unknown length, what the person's rules stand
// against, and pairs that do not go together (package together: "no" and "only as
// an effect").
//
// # The size
//
// Sizes keep the shape that is wanted: both sides in the same proportion, in
// thousandths of the wanted size, down to the least that would do. A choice is
// offered at the wanted size where that fits, else at the greatest that does.
// What is looked for is reckoned with every package at the length that it has with 97.5 %
// (its estimate less 1.96 of its standard uncertainty), so that warp and weft of
// different yarns fit together with 95 %; loom, reed and heddles bound the ends.
// Losses, sett and picks are those of each yarn in a cloth of its own (package
// learn), so that they can be worked out once for each yarn; what is shown at
// the end has been planned anew with the losses of the very pair.
//
// # The rule by which choices are ranked
//
//	size  the area offered, as a share of the area wanted
//	use   the yarn used, as a share of the yarn in the lots used, by mass
//	rest  1, less the share of those lots that is left as rests too short for anything
//	lots  1 divided by the number of lots
//
// Each counts with its weight (settings fits.weight.*), and the score is their
// mean in millionths, rounded down; shown are thousandths. Equal scores stand in the order of fewer
// lots, fewer colours, then of the packages' labels.
//
// # Why nothing better is missed
//
// Lots stand in two trees, one as warp and one as weft, each node knowing the
// extremes of what is below it: trees of sorts of yarn, in which the lots of
// a sort are divided only where it is looked into. A tuple of nodes has a score that no choice of
// lots below can beat: the size that the yarn allows at best, the most that could
// be used of the least that is there. Tuples are opened best first; once the
// best of them scores less than the last of the answers kept, nothing better is
// left. The tests hold this against trying everything.
//
// The answers kept are then planned with the losses of their yarns together, at the
// largest size of which the plan is sure, and ranked by that size.
package search
