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
package stash
