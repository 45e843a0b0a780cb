// Package fit finds the greatest sizes that a set of packages of yarn allows.
//
// [Solve] takes packages for warp and weft (they may be the same packages), a
// [Geometry] that says what a size needs, the end counts allowed and a stripe
// plan. For every end count it returns the greatest finished length that fits:
// a frontier of width against length, and one recommended size with what binds
// it, what is left and what one more package of the binding yarn would give.
//
// Everything is whole millimetres. A size fits where
//
//	for each colour area:  Σ whole ends of its packages at warp end ℓ(Lf)  ≥  ends wanted
//	for the weft:          Σ length of the weft packages − what their ends took − joins  ≥  weft(E, Lf)
//
// A longer piece needs a longer end and more weft, so for a given end count
// "fits" turns from true to false exactly once. Halving the interval on that
// whole-millimetre predicate finds the exact turning point: the length returned
// fits, and one millimetre more does not.
//
// Rules that a reader may rely on:
//
//   - Packages that serve the warp alone are used for the warp before those
//     whose rest is weft; among equals the one that gives most ends first, then
//     by ID. That keeps the number of opened packages low.
//   - Every unbroken strand longer than the overlap that goes into the weft is
//     charged one join, but for the first of its pool. A rest shorter than the
//     overlap is therefore charged a little too much, never too little.
//   - Ties between sizes go to fewer ends, ties between packages to the lower ID.
//
// # Where things are
//
//	request.go, check.go, spec.go         what is asked; geometry of a spec
//	solve.go, solver.go, trial.go, recommend.go  the frontier, and the size recommended
//	allocate.go, pack.go, strands.go, stripes.go, weave.go  who gives warp and weft
//	sharing.go                            several pieces over several wefts
//	chanceat.go, doubt.go, sure.go        the chance of a size; sizes to rely on
//	gain.go, margin.go, advice.go         what more yarn, or a measurement, would give
//	weftalone.go                          the weft of a warp that is wound
package fit
