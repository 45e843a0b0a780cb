// Package tables writes a stash as plain tables, one for each kind of record,
// and reads yarns, packages, projects and settings back from them. It holds no
// files: a table is a heading and rows of text.
//
// # The tables
//
//	yarns     one row a yarn: its id and every field, as it could be typed
//	packages  one row a package: its id, the name and id of its yarn, every field,
//	          what it holds, and where the rest of it went
//	projects    one row a project: its id and every field
//	settings  name and value of what differs from the defaults
//	pieces    what was made, to be read by people
//	events    everything that happened, to be read by people
//	people    the rules about people, only where asked for
//
// Values stand as they could be typed; one that cannot be typed exactly stands
// as JSON behind "json:". An empty cell is not recorded. Masses in columns whose
// heading ends in _g are plain decimals in grams.
//
// # What is read back
//
// Packages hold what they held, with the tare and the doubt that they had; a
// loan and a retirement are recorded anew. How they came to it (uses,
// weighings, pieces) is not in these tables: the lines of events are the
// archive.
//
// # Spreadsheets
//
// A cell that a spreadsheet would take for a formula (beginning with = + - @, a
// tab or a carriage return, but not a plain number), and one that begins with an
// apostrophe, gets an apostrophe in front. Reading takes it away again.
package tables
