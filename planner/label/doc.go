// Package label writes what a piece is made of, by weight in the finished piece,
// and the card that goes with it: plain text at 80 columns, HTML and SVG for
// printing.
//
// Percentages are whole and add up to 100. Where a fibre is not known there is
// no firm percentage, and the label says so. Labelling law differs by country;
// nothing here is certified, and every card says that too.
package label
