// Package making joins the ledger's values to the planner's: from a project and
// a shelf of packages it says what a piece needs, which packages give it, how
// sure that is, what finishing it debits, and what the rest still makes. It is
// pure: the same values give the same answer.
//
// # Where things are
//
//	shelf.go, stock.go                    the shelf, and a package as the solver takes it
//	spec.go, losses.go, leeway.go, clasped.go  a project as planner takes it, and how sure that is
//	plan.go, taking.go, otherlots.go, request.go, stripes.go, there.go  does it fit: packages given; notes.go, lotplace.go
//	endsofeach.go, weftpieces.go          what each package gives by itself; weft of several pieces
//	largest.go, buy.go                    the greatest size, and what to buy
//	warp.go, wind.go, sley.go             several projects on one warp, its length, its reed
//	onloom.go, rest.go, weftleft.go       what is on the loom, and what it still gives
//	finish.go, abandon.go, thrums.go, made.go, impossible.go, toolittle.go  what a finished piece took; inside.go what is in it
//	second.go                             another of the same; card.go, drawn.go a card and a drawing
package making
