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
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"endsmeet/stash"
)

// Head is what a journal begins with.
const Head = "; the stash as a journal; amounts in milligrams of yarn\ncommodity 1000. mg\n\n"

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

// Append writes a posting as a transaction behind a text.
func (e Entry) Append(text []byte) []byte {
	text = e.Day.AppendFormat(text, time.DateOnly)
	text = append(append(append(text, ' '), e.Event.Kind...), ' ')
	text = append(append(text, account(e.Tag)...), "  ; event:"...)
	text = append(append(text, e.Event.ID().String()...), '\n')
	for _, part := range e.Parts {
		name := string(part.Part)
		switch part.Part {
		case stash.PartStash, stash.PartReceived:
			name += ":" + account(e.Tag)
		case stash.PartUsed:
			name += ":" + account(e.Piece)
		}
		if part.Mass != 0 {
			text = strconv.AppendInt(appendName(text, name), int64(part.Mass), 10)
			text = append(append(append(text, " mg"...), e.cost(part)...), '\n')
		} else if e.Priced && part.Milli != 0 {
			text = append(append(appendName(text, name), money(part.Milli, e.Currency)...), '\n')
		}
	}
	return append(text, '\n')
}

// accountWidth is how wide the names of accounts are made, in characters.
const accountWidth = 40

// appendName begins the line of an account.
func appendName(text []byte, name string) []byte {
	text = append(append(text, "    "...), name...)
	for range accountWidth - utf8.RuneCountInString(name) {
		text = append(text, ' ')
	}
	return append(text, "  "...)
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
	text := sign + strconv.FormatInt(milli/1000, 10) + "." +
		strconv.FormatInt(1000+milli%1000, 10)[1:]
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

// Append writes what came in for a piece behind a text.
func (s Sale) Append(text []byte) []byte {
	text = append(s.Day.AppendFormat(text, time.DateOnly), " sold "...)
	text = append(append(text, account(s.Piece)...), '\n')
	text = append(append(appendName(text, "paid in"), money(s.Milli, s.Currency)...), '\n')
	text = append(appendName(text, "sales:"+account(s.Piece)), money(-s.Milli, s.Currency)...)
	return append(text, "\n\n"...)
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
