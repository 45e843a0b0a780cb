// Package sqlite keeps a stash in one SQLite file: the events, appended and
// never changed, and the views folded from them.
//
// Every change is one transaction (Store.Act), which reads the lane, its
// last sequence and its chain hash inside it, appends, folds and commits with
// synchronous=FULL. Reading (Store.View) sees one moment. Beside the database
// lies a key file with the names and keys of the lanes that this copy may
// write; it is bound to the machine and the path, so that a copied database
// takes new lanes at its first write.
package sqlite
