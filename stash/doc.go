// Package stash is the ledger of a hand-weaver's yarn: yarns, packages,
// projects, pieces and people, and the events from which all of them are
// folded. It holds the rules and does no input or output; stash/sqlite
// keeps the events, cmd/endsmeet shows the views.
//
// The picture, in words:
//
//	event   what happened, once, never changed     lane, sequence, chain, clock
//	  |  fold, in the order (when, clock, lane, sequence)
//	view    a yarn, a package, a project, a piece, a person, the settings
//
// A movement changes how much a package holds; a fact says what a thing is.
// Movements add up. Facts replace the values that their writer had seen;
// values that nobody has replaced stand beside each other as a disagreement.
//
// Quantities are integers (milligrams, millimetres, millitex, parts per
// million). Unknown is a value: a nil pointer, an empty string or the word
// unknown, never zero and never harmless.
//
// # Where things are
//
//	event.go, kinds.go, ids.go, clock.go  what happened: lines, kinds and their bodies, names, time
//	errors.go, values.go, receipt.go      refusals; prices, tares, readings; a package as received
//	facts.go, causality.go, foldshape.go  how facts stand, what knew of what, when views are made anew
//	unaware.go, disputes.go               what machines did unaware of each other, and disagree about
//	yarn.go, pack.go, project.go, piece.go, sharedwarp.go, person.go, picture.go, settings.go  what there is
//	itemfields.go, projectfields.go, fieldhelp.go  the one table of facts; fields.go, fieldparsers.go,
//	                                      valuetext.go, projectwords.go, parse.go how they are read and written
//	moves.go                              what is refused before it is recorded; slip.go, nearname.go,
//	                                      same.go, countclash.go, countslip.go what is asked about
//	packfold.go, packmoves.go, packfeeds.go  what a movement does to a package, and to the loom
//	amount.go, available.go, tare.go, age.go, felting.go, gives.go  what is left, what of that is free, what is no
//	                                      yarn, perished, felts, stretches
//	postings.go, costs.go, paid.go        the account of a package, in yarn and in money
//	edges.go, fringes.go, reeds.go        the ends of a piece, the fringes they can have, reeds
//	loomreading.go, finished.go, passing.go  the loom, what was measured of a piece, pieces given and sold
//	quote.go, naturally.go                commands and lists in words; Y9 before Y10
//	redate.go, row.go, stocktake.go, wound.go  dates mended, rows of sheets, counting, winding
package stash
