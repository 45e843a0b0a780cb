// Package people holds what yarn and cloth are tested by before they go to a
// person or a place: rules, presets of rules, the four answers, and the usual
// cautions. A rule tests one attribute, so that "no wool" here and "only wool"
// there can stand beside each other in the same workshop.
//
// The best answer is that nothing is recorded against it. What is not recorded
// stays unknown, and passes no rule that does not say so. No answer here is medical
// advice: the person, their clinician, the ward and local rules come first.
//
// # Rules in words
//
//	RULE   = [ "against" | "ask" ] TEST [ "if known" ] [ ":" WHY ]
//	TEST   = [ "fibre" ] FIBRE | [ "fibre" ] CLASS | NAME [ ARGUMENT ]
//	FIBRE  = any fibre of the fibre table, one at a time: wool, mohair, linen
//	CLASS  = "animal" | "protein" | "hair" | "goat hair" | "plant" | "bast" | "regenerated" | "rayon" | "synthetic"
//	NAME   = one of Tests
//
// The answer is what a hit means. Two tests are needs, "only cotton, acrylic"
// and "survives 60 C normal tumble": the answer falls where they are not met,
// and is "against" where none is written. What is not recorded passes no rule,
// but one that ends with "if known". ("strict" may stand there
// too, from the time when it had to be asked for, and says nothing.) Examples:
//
//	against wool
//	ask shedding 2
//	against odour smoke if known
//	against coarse 22 um
//	only wool: anything else melts
//	survives 60 C normal tumble
package people
