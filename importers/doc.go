// Package importers holds what all sources of imported yarn share: the grid of
// cells that a source delivers, the search for its header row, the matching of
// its columns with the fields of the stash, the strict reading of numbers,
// dates, prices and packages, the identity of a row, and the one layout in
// which everything that is wrong is reported.
//
// # The way of a row
//
// A source package (csvfile, xlsx, ods) opens a file as a [Grid]: rows of text
// cells with their places, streamed, and readable more than once. [NewTable]
// looks at the head of the grid, finds the header and matches its columns.
// [Table.Records] then streams one [Record] a row, or a [RowError] that names
// everything wrong with that row. Nothing here opens a database and nothing is
// remembered of a row but sixteen bytes of its identity.
//
// # Errors
//
// Every fault is a [Problem] and prints on one line, with the remedy below it:
//
//	FILE[!SHEET]:LINE:COLUMN: "HEADER": "VALUE": reason
//	    what to do
//
// LINE is the line of a text file or the row of a sheet. COLUMN is the number
// of the cell in its row, from 1; where the fault lies in the text itself (a
// quotation mark, a NUL byte, the encoding) there is no HEADER, and COLUMN is
// the character in its line. Parts that are not known are left out.
//
// # What is asked, not guessed
//
// A reading that could be two things is not chosen silently. "1,234" in a file
// that never shows which comma it uses is a Problem; several packages whose
// masses are not given singly are one Record with a question. What was read on
// purpose in one of several ways is said in the Record's Notes.
//
// # Where things are
//
//	file.go, reader.go, cache.go, zip.go, locked.go  a file and its bytes
//	grid.go, table.go, sheets.go, header.go, headings.go, mapping.go, column.go, settle.go  cells and columns
//	record.go, identity.go, packages.go, quantity.go, unit.go, tokens.go  a row and its fields
//	problem.go                            what is wrong with a row
package importers
