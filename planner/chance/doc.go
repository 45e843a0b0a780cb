// Package chance computes the probability that a set of packages of yarn
// covers what a piece needs, the greatest size that is sure, and which measurement
// would settle it best.
//
// # The model
//
// Every package i has a usable length, every need (one warp end, each weft) a length
// that is wanted, in millimetres:
//
//	R_i = L_i + Σ_g b_ig·Z_g + σ_i·ε_i        W = W₀·exp(Σ_g c_g·Z_g)
//
// with independent standard normal Z (errors that several share: the count of a yarn,
// the humidity of the room, an assumed tare; take-up, shrinkage, draw-in and what else
// differs from piece to piece) and ε (the package's own reading). The errors follow
// JCGM 100:2008 (GUM): standard uncertainties, with shared ones kept as correlations.
// Warp ends are whole: a package gives ⌊R_i/ℓ⌋ of them, and one with k knots what is
// left when it is cut at k places, all places equally likely (cuts.go). Weft may be
// joined: its lengths add, less what the ends took. It fits where every demand holds.
//
// # The computation
//
// A demand is the ends of a warp pool or the length of a weft. For each, a line is
// drawn through the space of errors along which it changes most and no demand is ever
// helped and harmed (line.go). Given the errors across the line, the least place on it
// at which the demand holds is found by halving, and the chance below it is a value of
// the normal distribution (point.go): the step never enters an average. So
//
//	1 − P = Σ_d P(d is the first to run short)
//
// each term being an average over the errors across its line. Where demands have errors
// of their own, all are followed at once, each along its own, and their chances
// multiply; the one with the least scatter for its work is kept (estimate.go). The
// averages are taken over sixteen Latin hypercubes with fixed seeds, whose scatter is
// the bound that is stated. Pools of many packages are summed up first (many.go), those whose
// lengths move together from a table (family.go).
//
// A greatest size is sought with lines and points held fast (size.go), so that the
// probability does not rise with the size.
//
// More than a bound of 0.002 is stated where the work is used up; nothing runs away.
//
// Literature: Genz and Bretz, Computation of Multivariate Normal and t Probabilities
// (2009), for integrals of this kind; Koutsourelakis, Pradlwarter, Schuëller (2004) for
// lines through the space of errors; McKay, Beckman, Conover (1979) for the hypercube.
// From memory.
package chance
