package stash

import (
	"fmt"
	"slices"
	"time"

	"endsmeet/stash/measure"
)

// How far a reading may be from what the ledger has before it is asked about: less than
// a fifth of the least that should be there, or a tenth above the most that can be. A
// decimal point in the wrong place is ten times off, ounces taken for grams 28 times
// (common practice, no source); a tenth is more than yarn takes up from a moist room
// (wool holds 16 % of its dry weight at 65 % relative humidity, 18.25 % by ASTM D1909).
const (
	suspectBelow = 5
	suspectAbove = 10
	// debitDoubt is the part of what was taken by which the ledger may be off: a tenth,
	// since most uses are computed.
	debitDoubt = 10
	// planDoubt is how many times what a plan gave a piece on the loom may have taken.
	planDoubt = 2
)

// Suspect says what makes a weighing look like a slip of the scale, the unit or the
// decimal point, as a sentence; empty where nothing does. That little is left of what
// pieces were debited from is no slip, nor that a borrower used it up; what never came
// in is one.
func (p Package) Suspect(m Move, units measure.System) string {
	if !p.Known || !m.Reading.Given() {
		return ""
	}
	shown, tare, spread := m.Reading.NetWith(0), measure.Mass(0), 2*m.Reading.Step
	if m.Reading.Gross != nil {
		shown, tare = *m.Reading.Gross, p.tare()
		if p.Tare != nil {
			spread += p.Tare.Spread
		}
	}
	least, most := p.bounds(m)
	above := shown > most+most/suspectAbove+tare+spread
	if !above && (least <= 0 || shown*suspectBelow >= least+tare) {
		return ""
	}
	expected, limit := p.expected(m), ""
	if above && most > expected {
		limit = fmt.Sprintf(", at most %s", (most + tare).Format(units))
	}
	return fmt.Sprintf("%s should show about %s%s, not %s. Is it the right item, unit and decimal point?",
		p.Label(), (expected + tare).Format(units), limit, shown.Format(units))
}

// Away says what is odd about a weighing of a package that is lent, as a sentence; empty where
// nothing is. What is missing then is with whoever has it, or was used by them.
func (p Package) Away(m Move, units measure.System) string {
	missing := p.Held - p.NetOf(m.Reading)
	if p.LentTo == "" || !p.Known || missing <= 0 {
		return ""
	}
	return fmt.Sprintf("%s is on loan to %s: the %s that are missing would be nobody's. Is it back? %s counts them as used there.",
		p.Label(), Clean(p.LentTo), missing.Format(units),
		Command("return --gross WEIGHT", p.Label()))
}

// GoesOut says what is odd about what a scale shows of a package that is lent now, as a
// sentence; empty where nothing is. A tenth is more than the room's humidity makes.
func (p Package) GoesOut(m Move, units measure.System) string {
	if !m.Reading.Given() || !p.Known {
		return ""
	}
	missing, spread := p.expected(m)-p.NetOf(m.Reading), 2*m.Reading.Step
	if p.Tare != nil && m.Reading.Gross != nil {
		spread += p.Tare.Spread
	}
	if missing <= p.Held/suspectAbove+spread {
		return ""
	}
	return fmt.Sprintf("%s should go out with %s, and is %s less, which would be unexplained. If only a part is lent, wind that off first: %s.",
		p.Label(), p.expected(m).Format(units), missing.Format(units), Command("wind", p.Label(), "WEIGHT"))
}

// Early says what is odd about yarn that was taken or weighed at a moment before its
// package was first weighed, as a sentence; empty where nothing is. That weight is of
// what was left by then, whatever happened before.
func (p Package) Early(at time.Time) string {
	if !p.Known || !at.Before(p.Since) {
		return ""
	}
	return fmt.Sprintf("%s was first weighed on %s: what was taken out or weighed by %s only changes how much came in, not what is there. Leave out --on for what is there now.",
		p.Label(), p.Since.In(at.Location()).Format("2006-01-02 15:04"),
		at.Format("2006-01-02 15:04"))
}

// expected is the net mass that the ledger has for a weighing, less what is due to the
// pieces on the loom.
func (p Package) expected(m Move) measure.Mass {
	if m.Receipt {
		return p.Received
	}
	return max(0, p.Held-p.dueOnLoom())
}

// dueOnLoom is what plans have the package give to pieces on the loom and weighings
// have not counted yet.
func (p Package) dueOnLoom() (sum measure.Mass) {
	for _, f := range p.Feeds {
		sum += max(0, f.Planned-p.UsedIn[f.Piece])
	}
	return sum
}

// bounds are the least and the most that the ledger lets a package hold at a weighing:
// no more than it was last weighed at, or than came in where some was taken since.
// Of one that is dated before the last movement only the most is known; so it is while
// the package is lent, or on a loom whose plan does not name it.
func (p Package) bounds(m Move) (least, most measure.Mass) {
	came := p.Received + p.In
	switch {
	case m.Receipt:
		return p.Received, suspectBelow * p.Received
	case m.At.Before(p.Moved):
		return 0, came
	}
	most = came - p.Given - p.Discarded - p.Out
	if !p.Weighed.IsZero() && !p.Weighed.Before(p.Moved) {
		most = p.Held // nothing was taken since it was weighed
	}
	unplanned := func(f Feed) bool { return f.Planned == 0 }
	if p.LentTo != "" || slices.ContainsFunc(p.Feeds, unplanned) {
		return 0, most
	}
	return p.Held - (came-p.Held)/debitDoubt - planDoubt*p.dueOnLoom(), most
}
