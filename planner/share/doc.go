// Package share shares packages of yarn out over several projects so that the most
// valuable set of pieces gets made.
//
// # The program
//
// A [Problem] has packages with lengths and, for each project, options: a piece of
// one size out of certain packages, with its value. At most one option of each
// project is chosen. An option asks for whole windings (warp ends) of one length
// out of the packages of a pool, and for lengths of weft out of pools. With
//
//	x(b,o)  1 where option o of project b is chosen
//	n(d,i)  whole windings for demand d out of package i of its pool
//	v(d,i)  weft for demand d out of package i of its pool, in mm
//
// it is the integer program
//
//	maximise   Σ value(b,o) · x(b,o)
//	subject to Σ_o x(b,o) ≤ 1                                   for every project
//	           Σ_i n(d,i) = count(d) · x,  Σ_i v(d,i) = weft(d) · x   for every demand of an option
//	           Σ_d length(d) · n(d,i) + Σ_d v(d,i) ≤ length(i)   for every package
//
// # How it is solved
//
// Projects that share no package are solved apart. For each set the pools are given
// prices for each millimetre (a Lagrangian relaxation: every demand of a pool,
// windings and weft together, is bounded by the yarn in the pool); at any prices
// the sum of the best options net of prices, plus what the pools are worth, bounds
// the program, and the least such bound is that of the linear program over the
// options. A branch and bound chooses options one by one, best first, and checks
// that whole windings really can be cut from the packages; options that cannot
// be part of anything better are struck out by their reduced value.
//
// The answer is a proven optimum, or, where the context ended first, the best
// found with a proven bound. The same problem gives the same answer, unless it
// was broken off.
package share
