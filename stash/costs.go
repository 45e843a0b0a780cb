package stash

import (
	"time"

	"endsmeet/stash/measure"
)

// Part is where yarn of a posting is, was, or went.
type Part string

// The parts. Received is where yarn comes from, Rounding takes what thousandths of
// the currency do not come out even.
const (
	PartStash       Part = "stash"
	PartReceived    Part = "received"
	PartUsed        Part = "used"
	PartDiscarded   Part = "discarded"
	PartGiven       Part = "given"
	PartUnexplained Part = "unexplained"
	PartWound       Part = "wound"
	PartRounding    Part = "rounding"
)

// Entry is what one posting changed in one part, in yarn and in thousandths of the
// currency. The entries of a posting add up to nothing, in both.
type Entry struct {
	Part  Part
	Mass  measure.Mass
	Milli int64
}

// Entries divides a posting among the parts. Each is reckoned so that the sum of all
// postings of a package is what Paid says of its account as it is; known is
// false where no price is recorded, and then nothing has a cost.
func (x Posting) Entries(p Package) (entries []Entry, known bool) {
	_, known = p.Paid(0)
	d := x.Delta
	net := d.Salvaged - d.In
	for _, e := range []struct {
		part   Part
		sign   int64
		before measure.Mass
		change measure.Mass
	}{
		{PartStash, 1, x.Before.Held, d.Held},
		{PartReceived, -1, x.Before.Received, d.Received},
		{PartUsed, 1, x.Before.usedIn(x.Piece), d.Used},
		{PartUsed, -1, x.Before.Salvaged, d.Salvaged},
		{PartDiscarded, 1, x.Before.Discarded, d.Discarded},
		{PartGiven, 1, x.Before.Given, d.Given},
		{PartUnexplained, 1, x.Before.Unexplained, d.Unexplained},
		{PartWound, 1, x.Before.Out, d.Out},
		{PartWound, 1, x.Before.Salvaged - x.Before.In, net},
	} {
		if e.change == 0 {
			continue
		}
		before, _ := p.Paid(e.before)
		after, _ := p.Paid(e.before + e.change)
		entries = append(entries, Entry{e.part, measure.Mass(e.sign) * e.change,
			e.sign * (after - before)})
	}
	var off int64
	for _, e := range entries {
		off += e.Milli
	}
	if off != 0 {
		entries = append(entries, Entry{PartRounding, 0, -off})
	}
	return joined(entries), known
}

// joined adds up the entries of one part.
func joined(entries []Entry) []Entry {
	var out []Entry
	for _, e := range entries {
		if n := len(out); n > 0 && out[n-1].Part == e.Part {
			out[n-1].Mass += e.Mass
			out[n-1].Milli += e.Milli
			continue
		}
		out = append(out, e)
	}
	return out
}

// usedIn is what a piece has of the package; of no piece in particular, what none
// has.
func (a Account) usedIn(piece PieceID) measure.Mass {
	if piece != "" {
		return a.UsedIn[piece]
	}
	rest := a.Used
	for _, mass := range a.UsedIn {
		rest -= mass
	}
	return rest
}

// Day is when a posting counts: yarn that was recorded later than it was acquired
// counts from the day on which it was acquired.
func (x Posting) Day(p Package, where *time.Location) time.Time {
	at := x.Event.At
	if x.Delta.Received == 0 || p.Acquired == "" {
		return at.In(where)
	}
	if t, dated := beginningOf(p.Acquired, where); dated && t.Before(at) {
		return t
	}
	return at.In(where)
}
