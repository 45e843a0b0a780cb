// Package ods reads a table of an OpenDocument spreadsheet (ISO/IEC 26300) as a
// grid. The table is chosen by name; a spreadsheet of one visible table needs
// none.
//
// Cells count by the value that is stored with them, not by the text shown:
// numbers come as plain decimals, dates as YYYY-MM-DD; the stored result of a
// formula is marked. Links to other files are never followed.
//
// The format writes runs of equal cells and rows once, with a number of
// repetitions. Empty runs cost nothing here; repeated cells with text are
// refused beyond limits, and so is a file that unpacks to more than it should,
// so a small malicious file can take neither memory nor disk. Nothing but the
// content is unpacked.
package ods
