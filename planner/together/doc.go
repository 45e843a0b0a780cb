// Package together answers whether two yarns go into one cloth, as warp with
// warp or as warp with weft: grist, strength, stretch, shrinkage and felting,
// washing, shedding, dye. Each reason has its own answer and, where figures
// exist, its figure; the gravest answer is the verdict.
//
// Thresholds are common practice, no source, unless a source stands beside
// them. What is not recorded is said to be so and is never read as harmless.
package together
