// Package journal writes the ledger as a plain-text double-entry journal, in
// the form that general accounting programs for plain text read (one
// transaction a paragraph: date, description, then indented postings of an
// account and an amount, which sum to zero). The commodity is the milligram.
//
// Accounts: stash:TAG for what a package holds, received:TAG for where it
// came from, used:PIECE, discarded, given, unexplained, and wound for yarn on
// its way from one package to another, which is zero in the end.
package journal

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Writer writes transactions one after the other.
type Writer struct {
	out *bufio.Writer
}

// NewWriter begins a journal.
func NewWriter(w io.Writer) *Writer {
	j := &Writer{bufio.NewWriter(w)}
	fmt.Fprintln(j.out, "; the stash as a journal; amounts in milligrams of yarn")
	fmt.Fprintln(j.out, "commodity 1000. mg")
	fmt.Fprintln(j.out)
	return j
}

// Flush writes what is left and gives the first error that writing met.
func (j *Writer) Flush() error { return j.out.Flush() }

// Posting writes one posting of a package as a transaction. Postings that
// change nothing are left out. Piece is the name of the piece it is of.
func (j *Writer) Posting(tag, piece string, p stash.Posting) {
	d := p.Delta
	lines := []line{
		{"stash:" + account(tag), d.Held},
		{"received:" + account(tag), -d.Received},
		{"used:" + account(piece), d.Used - d.Salvaged},
		{"discarded", d.Discarded},
		{"given", d.Given},
		{"unexplained", d.Unexplained},
		{"wound", d.Out - (d.In - d.Salvaged)},
	}
	j.transaction(p.Event.At, string(p.Event.Kind)+" "+account(tag), p.Event.ID().String(), lines)
}

type line struct {
	account string
	mass    measure.Mass
}

func (j *Writer) transaction(at time.Time, what, id string, lines []line) {
	any := false
	for _, l := range lines {
		any = any || l.mass != 0
	}
	if !any {
		return
	}
	fmt.Fprintf(j.out, "%s %s  ; event:%s\n", at.Format(time.DateOnly), what, id)
	for _, l := range lines {
		if l.mass != 0 {
			fmt.Fprintf(j.out, "    %-40s  %d mg\n", l.account, int64(l.mass))
		}
	}
	fmt.Fprintln(j.out)
}

// account makes a name fit for an account: one space at most between words
// and none of the characters that mean something there.
func account(name string) string {
	name = strings.Map(func(r rune) rune {
		if strings.ContainsRune(":;|*!()[]=@{}\"", r) || unicode.IsControl(r) {
			return '-'
		}
		return r
	}, stash.Clean(name))
	if name == "" {
		return "other"
	}
	return name
}
