// Package sqlite keeps a stash in one SQLite file: the events, appended and
// never changed, and the views folded from them.
//
// Every change is one transaction (Store.Act), which reads the lane, its
// last sequence and its chain hash inside it, appends, folds and commits with
// synchronous=FULL. Reading (Store.View) sees one moment. Beside the database
// lies a key file with the names and keys of the lanes that this copy may
// write; it is bound to the machine and the path, so that a copied database
// takes new lanes at its first write.
//
// # Where things are
//
//	store.go, tx.go                       opening, Act and View; readonly.go, leftlog.go odd files
//	migrate.go, relation.go               schemas; what other programs may read; errors.go, peek.go
//	record.go, held.go                    what is appended; rows that go in together
//	fold.go, flush.go, readevents.go, decode.go  views while an act lasts and at its end
//	refold.go, redate.go, undo.go         views made anew, dates mended, acts taken back
//	find.go, match.go, namesakes.go       a word that a person typed, found
//	views.go, storedview.go, picture.go   reading: what there is, as it lies in the file; pictures
//	history.go, postings.go               what there is, what happened, accounts
//	lanes.go, chains.go, keys.go, signers.go, renew.go  who wrote what
//	accept.go, bulk.go, exchange.go       what other machines wrote; importrow.go rows of sheets
//	check.go, backup.go, restore.go       looking through, copying, taking back
package sqlite
