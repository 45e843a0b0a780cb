package stash

import (
	"slices"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// Feed is a piece on the loom that a package gives yarn to. One that was
// abandoned is fed until the package is weighed.
type Feed struct {
	Piece PieceID `json:"piece"`
	Ended bool    `json:"ended,omitempty"`
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
