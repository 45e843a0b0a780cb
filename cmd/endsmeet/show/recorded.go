package show

import (
	"fmt"
	"io"

	"endsmeet/planner/books"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// BackedUp is the JSON shape of a backup or a restored stash.
type BackedUp struct {
	File   string `json:"file"`
	Events int    `json:"events"`
	OK     bool   `json:"ok"`
	// Keys says that the keys of the shared place lie in it.
	Keys bool `json:"keys,omitempty"`
}

// DoneBefore is the JSON shape of a command that did nothing, because its key
// was recorded before.
type DoneBefore struct {
	Once   string `json:"once"`
	Before bool   `json:"recorded_before"`
	// Undone says that what was recorded then was taken back since.
	Undone bool `json:"undone"`
}

// Loan is the JSON shape of a loan: the package as it is, and what the gate said.
type Loan struct {
	Item
	Verdicts verdict.Verdict `json:"verdicts"`
	// Gone is what was used while it was out, and Owed what that was bought for, in thousandths
	// of the currency; nil where no price is recorded.
	Gone measure.Mass `json:"used_while_out_mg,omitempty"`
	Owed *int64       `json:"worth_milli,omitempty"`
}

// LoanOf is what a loan made of a package, which was another before.
func LoanOf(after Item, v verdict.Verdict, before stash.Package) Loan {
	l := Loan{Item: after, Verdicts: v, Gone: after.Pack.Given - before.Given}
	if milli, known := after.Pack.Paid(l.Gone); known && l.Gone > 0 {
		l.Owed = &milli
	}
	return l
}

// PrintOwed says what was used while a package was out, and what it was bought for.
func (l Loan) PrintOwed(w io.Writer, units measure.System) {
	if l.Gone == 0 {
		return
	}
	worth := ""
	if p := l.Pack.Price; l.Owed != nil && p != nil {
		worth = "; it was bought for " + MoneyWords(books.Sum{p.Currency: *l.Owed})
	}
	fmt.Fprintf(w, "  %s was used while it was out, and counts as given away%s\n",
		l.Gone.Format(units), worth)
}

// Taken is the JSON shape of what was taken of a package: the package as it is
// afterwards, how much it was, and the event that says so.
type Taken struct {
	Item
	Taken measure.Mass  `json:"taken_mg"`
	Event stash.EventID `json:"event"`
	Act   stash.Act     `json:"act"`
	// Verdicts is what the gate said of it.
	Verdicts verdict.Verdict `json:"verdicts"`
}
