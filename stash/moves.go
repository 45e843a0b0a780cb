package stash

import (
	"time"

	"endsmeet/stash/measure"
)

// Move is a request to move yarn of one package.
type Move struct {
	Mass     measure.Mass
	Reading  Reading
	At       time.Time
	Piece    PieceID
	Who      string
	Until    string
	Person   PersonID
	Note     string
	Leftover Leftover
	// Receipt says that a weighing corrects what the package had when it came.
	Receipt bool
	// Force allows what would overdraw the package.
	Force bool
}

// Weigh drafts a weighing. A weighing without a reading, before the package
// arrived, or with a tare above the gross, is refused.
// A retired package can be weighed while it holds more or less than nothing: that
// settles what another machine recorded of it.
func (p Package) Weigh(m Move) (Draft, error) {
	if !m.Reading.Given() {
		return Draft{}, Refuse(CodeUsage, "give what the scale says, such as 412g, or --net",
			"a weighing of %s needs a weight", p.Label())
	}
	if p.Retired && p.Held != 0 {
		p.Retired = false
	}
	if err := p.open(m.At); err != nil {
		return Draft{}, err
	}
	if err := p.readable(m.Reading); err != nil {
		return Draft{}, err
	}
	return p.draft(KindWeigh, m, Movement{Reading: m.Reading, Piece: m.Piece, Receipt: m.Receipt,
		Note: m.Note}), nil
}

// Use drafts a use, Spoil a loss, Give a gift. Each refuses a retired or lent
// package, and more than the package holds unless forced.
func (p Package) Use(m Move) (Draft, error) {
	return p.draftMove(KindUse, m)
}

// Spoil drafts yarn thrown away or ruined; see Use.
func (p Package) Discard(m Move) (Draft, error) { return p.draftMove(KindDiscard, m) }

// Give drafts yarn given away; see Use.
func (p Package) Give(m Move) (Draft, error) { return p.draftMove(KindGive, m) }

func (p Package) draftMove(kind Kind, m Move) (Draft, error) {
	if err := p.holds(m); err != nil {
		return Draft{}, err
	}
	return p.draft(kind, m, Movement{Mass: m.Mass, Piece: m.Piece, Who: m.Who, Person: m.Person,
		Note: m.Note}), nil
}

// Lend drafts a loan, with the weight that goes out if weighed.
func (p Package) Lend(m Move) (Draft, error) {
	if err := p.open(m.At); err != nil {
		return Draft{}, err
	}
	if p.LentTo != "" {
		return Draft{}, Refuse(CodeRefused, "record its return first",
			"%s is on loan to %s already", p.Label(), Clean(p.LentTo))
	}
	if m.Who == "" {
		return Draft{}, Refuse(CodeUsage, "say to whom: --to WHO", "a loan needs a borrower")
	}
	if m.Reading.Given() {
		if err := p.readable(m.Reading); err != nil {
			return Draft{}, err
		}
	}
	return p.draft(KindLend, m, Movement{Reading: m.Reading, Who: Clean(m.Who), Until: m.Until,
		Note: m.Note}), nil
}

// Return drafts the end of a loan, with the weight that came back if weighed.
func (p Package) Return(m Move) (Draft, error) {
	if err := p.open(m.At); err != nil {
		return Draft{}, err
	}
	if p.LentTo == "" {
		return Draft{}, Refuse(CodeRefused,
			"`endsmeet list` marks what is lent", "%s is not on loan", p.Label())
	}
	if m.At.Before(p.LentAt) {
		return Draft{}, Refuse(CodeRefused, "give a later --on", "%s was lent on %s, after that",
			p.Label(), p.LentAt.Format("2006-01-02 15:04"))
	}
	if m.Reading.Given() {
		if err := p.readable(m.Reading); err != nil {
			return Draft{}, err
		}
	}
	return p.draft(KindReturn, m, Movement{Reading: m.Reading, Note: m.Note}), nil
}

// Retire drafts the end of a package. What it still holds needs a fate.
func (p Package) Retire(m Move) (Draft, error) {
	if err := p.open(m.At); err != nil {
		return Draft{}, err
	}
	if m.At.Before(p.Moved) {
		return Draft{}, Refuse(CodeRefused, "give a later --on, or undo what came later first",
			"%s was last used or weighed on %s, after that", p.Label(),
			p.Moved.Format("2006-01-02 15:04"))
	}
	if p.Held != 0 && m.Leftover == "" {
		return Draft{}, Refuse(CodeRefused,
			"say what became of it: --leftover discarded, given or lost", "%s still holds %s",
			p.Label(), p.Held.Format(measure.Metric))
	}
	return p.draft(KindRetire, m, Movement{Leftover: m.Leftover, Note: m.Note}), nil
}

// Wind drafts winding mass of p into another package, which is new when
// fields are given for it.
func (p Package) Wind(m Move, into PackageID, fields Fields) (Draft, error) {
	if err := p.holds(m); err != nil {
		return Draft{}, err
	}
	if into == p.ID || into == "" {
		return Draft{}, Refuse(CodeRefused, "name another item, or none for a new one",
			"%s cannot be wound into itself", p.Label())
	}
	return p.draft(KindWind, m, Movement{Mass: m.Mass, Into: into, Fields: fields, Note: m.Note}),
		nil
}

func (p Package) draft(kind Kind, m Move, body Movement) Draft {
	return Draft{Kind: kind, Of: Subject(p.ID), At: m.At, Replaces: p.Heads, Body: body}
}

// open refuses what concerns a retired package or a time before it came.
func (p Package) open(at time.Time) error {
	if p.Retired {
		return Refuse(CodeRetired, "If it is still there, undo that: its history shows the entry.",
			"%s is retired", p.Label())
	}
	return p.ThereBy(at)
}

// ThereBy refuses a time before the package came: no piece takes what was not
// there, and nobody weighs it. What was recorded later than it was acquired was there
// from the day on which it was acquired.
func (p Package) ThereBy(at time.Time) error {
	if p.Arrived.IsZero() || !at.Before(p.Arrived) || p.acquiredBy(at) {
		return nil
	}
	return Refuse(CodeRefused, "give a later --on, or if it was there already: "+
		Command("set", p.Label(), "acquired="+at.Format(time.DateOnly)),
		"%s arrived on %s, after that", p.Label(), p.Arrived.Format("2006-01-02 15:04"))
}

// readable refuses a reading that no scale can give.
func (p Package) readable(r Reading) error {
	tare := p.tare()
	if r.Tare != nil {
		tare = *r.Tare
	}
	if r.Gross == nil && *r.Net < 0 {
		return Refuse(CodeInput, "", "a net weight below nothing")
	}
	if r.Gross != nil && *r.Gross < tare {
		return Refuse(CodeInput, "weigh the empty and record it: --tare, or set tare",
			"the tare of %s, %s, is above the gross of %s",
			p.Label(), tare.Format(measure.Metric), r.Gross.Format(measure.Metric))
	}
	return nil
}

// holds refuses to take what a package does not hold.
func (p Package) holds(m Move) error {
	if err := p.open(m.At); err != nil {
		return err
	}
	if m.Mass <= 0 {
		return Refuse(CodeInput, "give a weight such as 25g, or a length such as 40m",
			"the amount must be more than nothing")
	}
	if p.LentTo != "" && !m.Force {
		return Refuse(CodeRefused, "record its return first, or give --force",
			"%s is on loan to %s", p.Label(), Clean(p.LentTo))
	}
	if p.Known && m.Mass > p.Held && !m.Force {
		return Refuse(CodeOverdrawn, "weigh it first, or give --force to record it all the same",
			"%s holds %s, less than %s",
			p.Label(), p.Held.Format(measure.Metric), m.Mass.Format(measure.Metric))
	}
	return nil
}

// Label is what a person calls the package: its tag, with the beginning of its
// id where another bears the same one, else its short id.
func (p Package) Label() string {
	if p.Namesake {
		return p.Tag + "/" + string(p.ID[:min(4, len(p.ID))])
	}
	if p.Tag != "" {
		return p.Tag
	}
	return string(p.ID[:min(6, len(p.ID))])
}
