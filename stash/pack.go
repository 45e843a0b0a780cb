package stash

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// Package is one physical unit of one yarn and dye lot, as folded from its
// events.
type Package struct {
	ID PackageID `json:"id"`
	PackageFacts
	// Disputed holds the fields whose values disagree, all values in full.
	Disputed map[string][]json.RawMessage `json:"disputed,omitempty"`
	Account
}

// PackageFacts are the facts of a package. Empty means not recorded.
type PackageFacts struct {
	Yarn     YarnID `json:"yarn,omitempty"`
	Tag      string `json:"tag,omitempty"`
	Form     Form   `json:"form,omitempty"`
	Lot      string `json:"lot,omitempty"`
	Colour   string `json:"colour,omitempty"`
	Bin      string `json:"bin,omitempty"`
	Acquired string `json:"acquired,omitempty"`
	Aired    string `json:"aired,omitempty"`
	Price    *Price `json:"price,omitempty"`
	Source   string `json:"source,omitempty"`
	Note     string `json:"note,omitempty"`
	Tare     *Tare  `json:"tare,omitempty"`
	// Longest is the greatest usable length of one piece of the yarn, where
	// it is cut (thrums) or knotted; zero means that it runs through.
	Longest measure.Length `json:"longest,omitempty"`
	// Knots is how many knots there are, so the package is in Knots+1 lengths.
	Knots      int         `json:"knots,omitempty"`
	Quarantine *Quarantine `json:"quarantine,omitempty"`
	Reserve    *Reserve    `json:"reserve,omitempty"`
	// Row is the row of an import that the package came from. It is a fact like
	// the others, though nobody types it: undoing the import or a correction
	// takes it back, and another machine learns it.
	Row *Row `json:"row,omitempty"`
}

// The places of the words that stand with a package.
const (
	BesideNote   = "a note"
	BesideColour = "its colour"
	BesideBin    = "where it lies"
)

// Beside gives the words that stand with a package and may speak of a fibre.
func (p PackageFacts) Beside() []Beside {
	var out []Beside
	for _, b := range []Beside{{BesideNote, p.Note}, {BesideColour, p.Colour}, {BesideBin, p.Bin}} {
		if b.Text != "" {
			out = append(out, b)
		}
	}
	return out
}

// Account is what a package received, where it went and what it holds.
// Received + In = Held + Used + Discarded + Given + Unexplained + Out, always.
type Account struct {
	// Known is false until the package has been weighed once.
	Known       bool         `json:"known"`
	Received    measure.Mass `json:"received_mg"`
	In          measure.Mass `json:"in_mg,omitempty"`
	Held        measure.Mass `json:"held_mg"`
	Used        measure.Mass `json:"used_mg,omitempty"`
	Discarded   measure.Mass `json:"discarded_mg,omitempty"`
	Given       measure.Mass `json:"given_mg,omitempty"`
	Unexplained measure.Mass `json:"unexplained_mg,omitempty"`
	Out         measure.Mass `json:"out_mg,omitempty"`
	// Salvaged is the part of In that is thrums out of a piece; the rest of
	// In was wound from another package.
	Salvaged measure.Mass `json:"salvaged_mg,omitempty"`
	// UsedIn is the part of Used for each piece.
	UsedIn map[PieceID]measure.Mass `json:"used_in,omitempty"`
	// Feeds are the pieces that it went onto the loom for and that are not
	// finished, the first started first.
	Feeds []Feed `json:"feeds,omitempty"`
	// Step is the resolution of the scale at the last weighing.
	Step measure.Mass `json:"step_mg,omitempty"`
	// OwnTare says that the last reading does not hang on the tare fact.
	OwnTare  bool      `json:"own_tare,omitempty"`
	Weighed  time.Time `json:"weighed,omitzero"`
	Moved    time.Time `json:"moved,omitzero"`
	LentTo   string    `json:"lent_to,omitempty"`
	LentAt   time.Time `json:"lent_at,omitzero"`
	Retired  bool      `json:"retired,omitempty"`
	Arrived  time.Time `json:"arrived,omitzero"`
	Reweigh  bool      `json:"reweigh,omitempty"`
	Newer    bool      `json:"newer,omitempty"`
	Question []string  `json:"question,omitempty"`
	// Namesake says that another package on the shelf bears the same tag. It is
	// found out when a package is read.
	Namesake bool `json:"-"`
	// Heads are the last movements, which the next one names as replaced.
	Heads []EventID `json:"heads,omitempty"`
	// Last is the place of the last movement folded.
	Last Place `json:"last"`
	// readings counts the readings of a scale folded since it was decoded.
	readings int
}

// Feed is a piece on the loom that a package gives yarn to. One that was
// abandoned is fed until the package is weighed.
type Feed struct {
	Piece PieceID `json:"piece"`
	Ended bool    `json:"ended,omitempty"`
}

// Place is where an event stands in the order of the fold.
type Place struct {
	At    int64 `json:"at"`
	Clock Clock `json:"hlc"`
	Lane  Lane  `json:"lane"`
	Seq   int64 `json:"seq"`
}

// PlaceOf is the place of an event.
func PlaceOf(e Event) Place {
	return Place{At: e.At.UnixMilli(), Clock: e.Clock, Lane: e.Lane, Seq: e.Seq}
}

// Before says whether p stands before q.
func (p Place) Before(q Place) bool {
	return cmp.Or(cmp.Compare(p.At, q.At), cmp.Compare(p.Clock, q.Clock),
		cmp.Compare(p.Lane, q.Lane), cmp.Compare(p.Seq, q.Seq)) < 0
}

// Env answers what a fold must know about other subjects.
type Env interface {
	// Life is what is known of the making of a piece.
	Life(PieceID) Life
	// Undone says whether an act was reversed.
	Undone(Act) bool
}

// FoldPackage folds a package from its fact events and its movements, in any
// order.
func FoldPackage(id PackageID, facts, moves []Event, env Env) Package {
	p := Package{ID: id}
	if only, ok := onlyFacts[PackageFacts](facts, env); ok {
		p.PackageFacts = only
	} else {
		folded, newer := foldFacts(Subject(id), facts, env)
		fitted, unfit := fitFacts[PackageFacts](folded.Shown())
		p.PackageFacts, p.Newer = fitted, newer || unfit
		p.Disputed = folded.Disputed()
	}
	moves = slices.Clone(moves)
	slices.SortFunc(moves, Order)
	did := make([]effect, len(moves))
	for i, e := range moves {
		did[i] = p.effectOf(e, env)
	}
	p.Reweigh = conflictingWeighing(moves, did)
	return p
}

// Follows says whether e can be applied to p as it is: it stands after all
// that p was folded from and its writer had seen all of it.
func (p Package) Follows(e Event) bool {
	if len(p.Heads) == 0 {
		return true
	}
	if p.Reweigh {
		return false // e may settle it
	}
	unseen := func(id EventID) bool { return !slices.Contains(e.Replaces, id) }
	return p.Last.Before(PlaceOf(e)) && !slices.ContainsFunc(p.Heads, unseen)
}

// Apply folds one more movement, which must stand after the others.
func (p *Package) Apply(e Event, env Env) {
	p.Last = PlaceOf(e)
	p.Heads = nextHeads(p.Heads, e)
	if env.Undone(e.ActOf()) {
		p.undone(e, env)
		return
	}
	if e.Version > LineVersion {
		p.Newer = true
	}
	if p.Arrived.IsZero() && !arrives(p.ID, e) {
		p.ask("a movement stands before the package arrived")
	}
	switch e.Kind {
	case KindReceive:
		p.receive(e)
	case KindFinish:
		p.finish(e, env)
	case KindStart:
		p.feed(PieceID(e.Of))
	case KindAbandon:
		p.unfeed(PieceID(e.Of), true)
	case KindWind:
		p.wind(e)
	case KindWeigh, KindUse, KindDiscard, KindGive, KindLend, KindReturn, KindRetire:
		p.move(e)
	default:
		p.Newer = true
	}
}

// effectOf applies a movement and says what it did to the package.
func (p *Package) effectOf(e Event, env Env) effect {
	if env.Undone(e.ActOf()) {
		p.Apply(e, env)
		return effectNone
	}
	before := p.readings
	p.Apply(e, env)
	switch {
	case p.readings > before:
		return effectReading
	case e.Kind == KindStart || e.Kind == KindAbandon:
		return effectNone // moves no yarn
	}
	return effectOther
}

// undone: a finish that was taken back leaves its piece on the loom, and the
// packages that it debited feed it.
func (p *Package) undone(e Event, env Env) {
	if e.Kind == KindFinish && env.Life(PieceID(e.Of)).Begun {
		p.feed(PieceID(e.Of))
	}
}

func (p *Package) feed(piece PieceID) {
	p.unfeed(piece, false)
	p.Feeds = append(p.Feeds, Feed{Piece: piece})
}

// unfeed ends a feed: at once, or where the piece was abandoned at the next
// weighing.
func (p *Package) unfeed(piece PieceID, abandoned bool) {
	for i, f := range p.Feeds {
		if f.Piece == piece && abandoned {
			p.Feeds = slices.Clone(p.Feeds)
			p.Feeds[i].Ended = true
			return
		}
	}
	p.Feeds = slices.DeleteFunc(slices.Clone(p.Feeds), func(f Feed) bool { return f.Piece == piece || f.Ended && abandoned })
}

// nextHeads replaces what e had seen by e itself.
func nextHeads(heads []EventID, e Event) []EventID {
	out := slices.DeleteFunc(slices.Clone(heads), func(id EventID) bool { return slices.Contains(e.Replaces, id) })
	out = append(out, e.ID())
	slices.SortFunc(out, func(a, b EventID) int { return bytes.Compare(a[:], b[:]) })
	return out
}

// arrives says whether e itself brings the package into being.
func arrives(id PackageID, e Event) bool {
	for _, t := range Touches(e.Line) {
		if t.Subject == Subject(id) && t.Class == ClassFact {
			return true
		}
	}
	return false
}

func (p *Package) ask(question string) {
	if !slices.Contains(p.Question, question) {
		p.Question = append(p.Question, question)
	}
}

func (p *Package) tare() measure.Mass {
	if p.Tare == nil {
		return 0
	}
	return p.Tare.Mass
}

func (p *Package) receive(e Event) {
	var r Receive
	if jsonv2.Unmarshal(e.Body, &r) != nil {
		p.Newer = true
		return
	}
	p.Arrived = e.At
	if r.Given() {
		net := r.NetWith(p.tare())
		p.Received += net
		p.Held += net
		p.observed(e, r.Reading)
	}
}

// observed notes a reading of the scale.
func (p *Package) observed(e Event, r Reading) {
	p.Known = true
	p.readings++
	p.Step = r.Step
	p.OwnTare = r.Gross == nil || r.Tare != nil
	p.Weighed = e.At
	p.Moved = e.At
}

// weigh sets what the package holds. The difference is unexplained, or, for
// a package that was never weighed, part of what it received.
func (p *Package) weigh(e Event, r Reading) {
	net := r.NetWith(p.tare())
	if p.Known {
		p.Unexplained += p.Held - net
	} else {
		p.Received += net - p.Held
	}
	p.Held = net
	p.observed(e, r)
}

func (p *Package) move(e Event) {
	var m Movement
	if jsonv2.Unmarshal(e.Body, &m) != nil {
		p.Newer = true
		return
	}
	found := p.Retired && e.Kind == KindWeigh && p.Held != 0
	if p.Retired {
		p.afterEnd(found)
	}
	p.Moved = e.At
	switch e.Kind {
	case KindWeigh:
		p.weighOnLoom(e, m)
		p.Retired = p.Retired && (!found || p.Held == 0)
	case KindUse:
		p.use(m.Piece, m.Mass)
	case KindDiscard:
		p.Held -= m.Mass
		p.Discarded += m.Mass
	case KindGive:
		p.Held -= m.Mass
		p.Given += m.Mass
	case KindLend:
		p.lend(e, m)
	case KindReturn:
		p.comeBack(e, m)
	case KindRetire:
		p.retire(m)
	}
}

// afterEnd is a movement of a package that was retired, on another machine or
// before in the order of days. Weighing it settles what is asked, and what the scale
// finds is there.
func (p *Package) afterEnd(found bool) {
	const asked = "it was used or weighed after it was retired: weigh it, with --net 0g if it is gone"
	if found {
		p.Question = slices.DeleteFunc(slices.Clone(p.Question), func(q string) bool { return q == asked })
		return
	}
	p.ask(asked)
}

// weighOnLoom is a weighing; while the package feeds a piece on the loom,
// what is missing went into that piece.
func (p *Package) weighOnLoom(e Event, m Movement) {
	if !m.Given() {
		p.Newer = true // a way of weighing that is not known here
		return
	}
	if m.Receipt {
		net := m.NetWith(p.tare())
		p.Received += net - p.Held
		p.Held = net
		p.observed(e, m.Reading)
		return
	}
	if len(p.Feeds) > 0 {
		m.Piece = p.Feeds[0].Piece
	}
	if m.Piece != "" {
		p.missingInto(m.Piece, m.Reading)
	}
	p.weigh(e, m.Reading)
	p.Feeds = slices.DeleteFunc(slices.Clone(p.Feeds), func(f Feed) bool { return f.Ended })
}

// missingInto counts what a reading finds missing to a piece; what it finds too
// much, as far as the piece had it.
func (p *Package) missingInto(piece PieceID, r Reading) {
	if p.Known {
		p.use(piece, max(p.Held-r.NetWith(p.tare()), -p.UsedIn[piece]))
	}
}

func (p *Package) use(piece PieceID, mass measure.Mass) {
	p.Held -= mass
	p.Used += mass
	if piece == "" {
		return
	}
	if p.UsedIn == nil {
		p.UsedIn = map[PieceID]measure.Mass{}
	}
	p.UsedIn[piece] += mass
}

func (p *Package) lend(e Event, m Movement) {
	if m.Given() {
		p.weigh(e, m.Reading)
	}
	p.LentTo, p.LentAt = m.Who, e.At
}

// comeBack ends a loan; what the borrower used counts as given, what is more than
// the ledger expected is unexplained.
func (p *Package) comeBack(e Event, m Movement) {
	if gone := p.Held - m.NetWith(p.tare()); m.Given() && p.Known && gone > 0 {
		p.Held -= gone
		p.Given += gone
	}
	if m.Given() {
		p.weigh(e, m.Reading)
	}
	p.LentTo, p.LentAt = "", time.Time{}
}

func (p *Package) retire(m Movement) {
	p.Retired = true
	switch m.Leftover {
	case LeftoverDiscarded:
		p.Discarded += p.Held
	case LeftoverGiven:
		p.Given += p.Held
	default:
		p.Unexplained += p.Held
	}
	p.Held = 0
}

func (p *Package) wind(e Event) {
	var m Movement
	if jsonv2.Unmarshal(e.Body, &m) != nil {
		p.Newer = true
		return
	}
	if m.Into == "" || Subject(m.Into) == e.Of {
		p.ask("it was wound onto no other package, which counts nothing")
		return
	}
	p.Moved = e.At
	if Subject(p.ID) == e.Of {
		p.Held -= m.Mass
		p.Out += m.Mass
		return
	}
	if p.Arrived.IsZero() {
		p.Arrived = e.At
		p.Known, p.OwnTare = true, true
	}
	p.Held += m.Mass
	p.In += m.Mass
}

func (p *Package) finish(e Event, env Env) {
	var f Finish
	if jsonv2.Unmarshal(e.Body, &f) != nil {
		p.Newer = true
		return
	}
	piece := PieceID(e.Of)
	if env.Life(piece).Counted != e.ID() {
		p.ask(FinishedTwice)
		return
	}
	p.unfeed(piece, false)
	p.debit(e, f)
	for _, t := range f.Thrums {
		if t.Package == p.ID {
			p.salvage(e, t)
		}
	}
}

// debit takes off what a piece used. A reading tells it whatever was recorded
// when; without one it is what was computed for the whole piece, less what
// weighings on the loom have counted.
func (p *Package) debit(e Event, f Finish) {
	piece := PieceID(e.Of)
	for _, w := range f.Weighed {
		if w.Package == p.ID && p.Known {
			p.missingInto(piece, w.Reading)
			p.weigh(e, w.Reading)
			return
		}
	}
	var recorded, whole measure.Mass
	for _, d := range f.Debits {
		if d.Package == p.ID {
			recorded, whole, p.Moved = recorded+d.Mass, whole+d.Whole, e.At
		}
	}
	if whole > 0 {
		recorded = StillToDebit(whole, p.UsedIn[piece])
	}
	if recorded != 0 {
		p.use(piece, recorded)
	}
	for _, w := range f.Weighed {
		if w.Package == p.ID {
			p.weigh(e, w.Reading)
		}
	}
}

// StillToDebit is what is left of a computed use when so much has been counted by
// weighing on the loom: nothing once nine tenths have, since a weighing is right
// where a computed use may be off by its count and its losses.
func StillToDebit(whole, counted measure.Mass) measure.Mass {
	if counted >= whole-whole/10 {
		return 0
	}
	return whole - max(0, counted)
}

func (p *Package) salvage(e Event, t Thrums) {
	p.Arrived = e.At
	p.In += t.Mass
	p.Salvaged += t.Mass
	p.Held += t.Mass
	p.Known = true
	p.Step = t.Step
	p.OwnTare = true
	p.Weighed = e.At
	p.Moved = e.At
}

// Overdrawn says that more was taken than the package is known to have held.
func (p Package) Overdrawn() bool { return p.Known && p.Held < 0 }

// Balanced says whether the account adds up.
func (a Account) Balanced() bool {
	return a.Received+a.In == a.Held+a.Used+a.Discarded+a.Given+a.Unexplained+a.Out
}

// UsedTotal sums UsedIn in the order of the pieces' ids.
func (a Account) UsedTotal() measure.Mass {
	var sum measure.Mass
	for _, m := range a.UsedIn {
		sum += m
	}
	return sum
}
