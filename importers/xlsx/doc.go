// Package xlsx reads a sheet of an Office Open XML workbook (ECMA-376) as a
// grid, and writes workbooks. The sheet is chosen by name; a workbook of one
// visible sheet needs none.
//
// Formulas count by the result that is stored with them, and are marked; a
// formula without one is refused with its place. Numbers come as plain
// decimals, dates as YYYY-MM-DD, however the sheet shows them. Links to other
// files are never followed.
//
// A workbook is unpacked within limits before anything of it is read, sheets
// are streamed, and rows and columns beyond the format's own limits are
// refused, so a small malicious file can take neither memory nor disk.
package xlsx
