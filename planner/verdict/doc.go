// Package verdict is the one gate before yarn reaches a cloth or a person. It
// answers for yarns in their roles, a size, a use and a recipient: is there
// enough, do the yarns agree in one cloth, what do the dye lots do, in what
// condition is each package, and what do the recipient's rules say. Every answer
// stands on one ladder of grades, the worst on top, each with its reason and the
// one thing to do. No command decides for itself: it asks here and shows what it
// is told. The package is pure: the same values give the same answer.
package verdict
