// Package journal writes the ledger as a plain-text double-entry journal, in
// the form that general accounting programs for plain text read (one
// transaction a paragraph: date, description, then indented postings of an
// account and an amount, which sum to zero). The commodity is the milligram.
//
// Accounts: stash:TAG for what a package holds, received:TAG for where it
// came from, used:PIECE, discarded, given, unexplained, and wound for yarn on
// its way from one package to another, which is zero in the end. Where a price is
// recorded each posting says what it cost in all (@@); rounding takes the thousandths
// that do not come out even. What was paid for pieces is in sales.
package journal

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"endsmeet/stash"
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

// Entry is a posting of a package, with what its parts cost.
type Entry struct {
	Day time.Time
	// Tag is that of the package, Piece the name of the piece that it is of.
	Tag, Piece string
	Event      stash.Event
	Parts      []stash.Entry
	// Priced says that the parts have a cost, in thousandths of Currency.
	Priced   bool
	Currency string
}

// Write writes a posting as a transaction.
func (j *Writer) Write(e Entry) {
	fmt.Fprintf(j.out, "%s %s  ; event:%s\n", e.Day.Format(time.DateOnly),
		string(e.Event.Kind)+" "+account(e.Tag), e.Event.ID())
	for _, part := range e.Parts {
		name := string(part.Part)
		switch part.Part {
		case stash.PartStash, stash.PartReceived:
			name += ":" + account(e.Tag)
		case stash.PartUsed:
			name += ":" + account(e.Piece)
		}
		if part.Mass != 0 {
			fmt.Fprintf(j.out, "    %-40s  %d mg%s\n", name, int64(part.Mass), e.cost(part))
		} else if e.Priced && part.Milli != 0 {
			fmt.Fprintf(j.out, "    %-40s  %s\n", name, money(part.Milli, e.Currency))
		}
	}
	fmt.Fprintln(j.out)
}

// cost is what a part cost, in all: the sign is that of the mass.
func (e Entry) cost(part stash.Entry) string {
	milli := part.Milli
	if part.Mass < 0 {
		milli = -milli
	}
	if !e.Priced {
		return ""
	}
	return " @@ " + money(milli, e.Currency)
}

// money writes an amount with all its thousandths.
func money(milli int64, currency string) string {
	sign := ""
	if milli < 0 {
		sign, milli = "-", -milli
	}
	text := fmt.Sprintf("%s%d.%03d", sign, milli/1000, milli%1000)
	if currency == "" {
		return text
	}
	return text + ` "` + account(currency) + `"`
}

// Sale is a piece that was sold.
type Sale struct {
	Day      time.Time
	Piece    string
	Milli    int64
	Currency string
}

// Sale writes what came in for a piece.
func (j *Writer) Sale(s Sale) {
	fmt.Fprintf(j.out, "%s sold %s\n", s.Day.Format(time.DateOnly), account(s.Piece))
	fmt.Fprintf(j.out, "    %-40s  %s\n", "paid in", money(s.Milli, s.Currency))
	fmt.Fprintf(j.out, "    %-40s  %s\n\n", "sales:"+account(s.Piece), money(-s.Milli, s.Currency))
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
