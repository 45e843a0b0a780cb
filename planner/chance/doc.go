// Package chance computes the probability that a set of packages of yarn
// covers what a piece needs, and which measurement would settle it best.
//
// Every package i has a usable length
//
//	R_i = L_i + Σ_g b_ig·Z_g + σ_i·ε_i        (all lengths in millimetres)
//
// with independent standard normal Z (errors that several packages share: the
// count of their yarn, the humidity of the room, an assumed tare, the scale)
// and ε (the package's own reading). Warp ends are whole, so a package gives
// ⌊R_i/ℓ⌋ of them and the sum is not normal; weft may be joined, so its
// lengths add.
//
// The probability is computed, not simulated. Shared errors that tie several
// demands together are integrated by quadrature; given those, the whole-end
// counts of the packages are independent and are convolved exactly. Where the
// same packages serve warp and then weft, count and total length are convolved
// together on a fine grid (grid.go), or, for many packages and for several
// colours, with the mean and the variance of the length beside each count
// (joint.go), which is exact up to the shape of that conditional distribution.
//
// Whole-end counts never fall below nothing. In totals a length below zero is not
// cut off; with an uncertainty of up to 30 % of a package that is beyond three
// standard deviations and changes nothing that shows.
//
// The measurement model follows JCGM 100:2008 (GUM): standard uncertainties,
// combined as variances, with shared ones kept as correlations.
package chance
