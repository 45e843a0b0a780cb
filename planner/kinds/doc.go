// Package kinds knows the usual pieces that are woven by hand: their sizes and
// ranges, their edges, and how close they are set.
//
// All of it is common practice with no source: sizes differ from weaver to
// weaver. So every kind can be replaced: a project of the weaver's own that bears
// the name of a kind stands in its place, and every other project and every
// finished piece is one more kind ("another like this"). Package kinds is pure.
package kinds
