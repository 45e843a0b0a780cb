// Package making joins the ledger's values to the planner's: from a project and
// a shelf of packages it says what a piece needs, which packages give it, how
// sure that is, what finishing it debits, and what the rest still makes. It is
// pure: the same values give the same answer.
package making
