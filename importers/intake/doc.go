// Package intake turns what a row of a sheet says into what the ledger records:
// the facts of a yarn, and the packages of it with their facts and what they
// weighed. It reads and writes nothing.
//
// # Which rows are of one yarn
//
// Rows of one name, fibre content, count and maker are of one yarn. Where a row
// leaves one of these out, it agrees with any. A name already taken by
// another yarn is told apart by its maker, then its count, then a number.
//
// The part of a name behind its last comma is taken for the colour where
// several rows share the part before it, differ behind it and agree in the
// yarn, or where the part before it is a yarn of the stash already: "Ossentarn
// cotton, oat" and "Ossentarn cotton, slate" are one yarn in two colours. Where
// the sheet has a colour in a column of its own, names stay whole.
//
// # How many packages
//
// A row becomes several packages only where the mass of each is given, or none
// is weighed at all. Otherwise it is one package, with a note and a question:
// nothing is shared out evenly, because a warp end cannot be longer than the
// package that it comes from.
//
// # What is kept
//
// Nothing is dropped. What is not understood, or differs from what the yarn says
// already, stands in the note of the yarn or the package.
package intake
