// Package recording records in a stash what was read from elsewhere: the rows of a sheet,
// the tables of another stash, the events of an archive. Each function works within a
// transaction of its caller, who takes all of it back where it fails.
//
// # What a row changes
//
// A row that came in before is known by its key ([importers]); one with a tag of the stash
// is that item. What such a row says otherwise is told as before and after, against the
// stash as it is now, and recorded only with Options.Correct. What a row does not state it
// says nothing of. A row with a fault leaves no trace but in Options.Bad.
//
// # Where things are
//
//	options.go             what it is told, and tells on its way; report.go what came of it
//	rows.go, ahead.go      the rows of a table, read ahead; bad.go those with faults
//	changes.go, tagged.go  what a row says otherwise; slips.go what of that is asked about
//	alike.go               rows that may be of what came in by another way
//	tables.go, people.go   the tables of another stash; tablesof.go those of this one
//	archive.go             events
package recording
