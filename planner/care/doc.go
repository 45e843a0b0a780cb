// Package care advises how to finish a piece from what is in it: the gentlest
// washing that all its yarns accept, drying, pressing, when to trim, and what
// it forbids; and how to keep insects out of a stash.
//
// What a yarn's own label or the weaver recorded comes first; what fibres
// usually bear fills the gaps. Each [Step] names its
// source; most is common practice without one.
package care
