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
// Projects that share no package are solved apart. Each set is narrowed down first
// (narrow.go): what options take of a block of packages gets prices (a Lagrangian
// relaxation); at any prices the best options net of prices, plus the best that each block
// can sell, bound the program. Options whose reduced value keeps the bound at the best found
// are struck out; what is left may fall apart into smaller sets.
//
// The rest is decided project by project in a fixed order (branch.go). What the projects
// from a place on can be worth is concave in the yarn that is left, so that every set of
// prices found for a place, one for each pool, bounds it wherever the place is come to
// again; the prices are those of the linear program, by Shor's method (bound.go), and the
// whole is bounded by how many projects can be made, too. It looks
// for a little less than the bound at first, then for less and less, and each aim that is
// missed lowers the bound. Whole windings are cut where a choice would be the best so far.
// Of projects alike what was tried for one is not tried for the next.
//
// The answer is a proven optimum, or, where the context ended first, the best
// found with a proven bound. The same problem gives the same answer, unless it
// was broken off.
package share
