// Package wif reads weaving drafts in the open interchange format WIF 1.1
// (April 1997), as far as a stash needs them: ends and picks by colour, the
// order of colours as a stripe plan, the repeat of the threading, spacing as
// sett. It never writes a draft.
//
// Files vary, and this reader goes along: sections and keys in any order and
// letter case, LF or CR LF or CR, comments, sections that are missing, a
// [CONTENTS] that is not true, colours over any range. It is strict about what
// changes an answer: the number of threads, a colour that the palette lacks, a
// number that is none, a thread beyond the last, a section or key given twice
// with different content. Then the error is a *importers.Problems with the
// line of each fault.
//
// The names of programs and people in a file are read past and never kept.
package wif
