// Package csvfile reads comma-separated values (RFC 4180) as people and
// spreadsheets write them: in UTF-8 with or without a byte order mark, UTF-16
// or Windows-1252, with commas, semicolons or tabs. What was found is shown in
// the grid, and can be given instead.
//
// A file is read twice: once whole, to find its encoding and every byte that
// cannot be text, and once for its rows. Memory does not grow with the file; a
// record longer than Options.MaxRecord is refused, quoted line breaks or not.
//
// Beyond RFC 4180 are accepted: blank lines, and a first line "sep=;". Refused,
// with line and column: a quotation mark that is not closed or stands inside an
// unquoted cell (sections 2.5 to 2.7), NUL bytes, text in two encodings, files
// that are something else whatever their name. Rows with fewer or more cells
// than the header (section 2.4) are refused one by one by package importers.
package csvfile
