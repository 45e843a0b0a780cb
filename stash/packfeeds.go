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
	// Planned is what the plan has the package give to the piece, 0 where it gives nothing.
	Planned measure.Mass `json:"planned_mg,omitempty"`
	// Warp names the warp that the piece shares with others, empty for one of its own;
	// Share is what the package was planned to give to the piece's part of it, and Weft
	// says that it gives other yarn to the piece as well.
	Warp  string       `json:"warp,omitempty"`
	Share measure.Mass `json:"share_mg,omitempty"`
	Weft  bool         `json:"weft,omitempty"`
	// Done says that the piece is off the loom and others of its warp are not.
	Done bool `json:"done,omitempty"`
}

// feed takes a piece that went on the loom, by its plan if it is known.
func (p *Package) feed(piece PieceID, plan *Plan) {
	f := Feed{Piece: piece}
	if i := slices.IndexFunc(p.Feeds, func(f Feed) bool { return f.Piece == piece }); i >= 0 {
		f = p.Feeds[i]
		f.Ended, f.Done = false, false
	}
	if plan != nil {
		f = f.planned(p.ID, *plan)
	}
	p.Feeds = append(slices.DeleteFunc(slices.Clone(p.Feeds),
		func(f Feed) bool { return f.Piece == piece }), f)
}

// planned is a feed with what a plan has the package give.
func (f Feed) planned(id PackageID, plan Plan) Feed {
	f.Planned, f.Share, f.Weft = 0, 0, false
	if plan.Shared != nil {
		f.Warp = plan.Shared.ID
	}
	for _, a := range plan.Promised() {
		if a.Package != id {
			continue
		}
		f.Planned += a.Mass
		if plan.Shared != nil {
			f.Share += measure.Part(a.Mass, int64(a.Warp), int64(max(1, a.Warp+a.Weft+a.Hemstitch)))
			f.Weft = f.Weft || a.Weft+a.Hemstitch > 0
		}
	}
	return f
}

// started takes the plan of a piece that went on the loom.
func (p *Package) started(e Event) {
	var m Making
	if jsonv2.Unmarshal(e.Body, &m) != nil {
		m.Plan = nil // the piece's own view says that it is newer
	}
	p.feed(PieceID(e.Of), m.Plan)
}

// unfeed ends a feed: at once, or where the piece was abandoned at the next
// weighing. While others of its warp are on the loom it is only done.
func (p *Package) unfeed(piece PieceID, abandoned bool) {
	p.Feeds = slices.Clone(p.Feeds)
	for i, f := range p.Feeds {
		if f.Piece == piece && abandoned {
			p.Feeds[i].Ended = true
			return
		}
		if f.Piece == piece && f.Warp != "" {
			p.Feeds[i].Done = true
		}
	}
	p.Feeds = slices.DeleteFunc(p.Feeds, func(f Feed) bool {
		return f.Piece == piece && !f.Done || f.Ended && abandoned || f.Done && !p.woven(f.Warp)
	})
}

// woven says whether some piece of a warp is on the loom.
func (p *Package) woven(warp string) bool {
	return slices.ContainsFunc(p.Feeds, func(f Feed) bool { return f.Warp == warp && !f.Done })
}

// Taken is yarn that went into a piece.
type Taken struct {
	Piece PieceID
	Mass  measure.Mass
}

// Into says into which pieces yarn went that a weighing finds missing while it is for a
// piece: into that one, and where others on the loom share its warp into their parts of
// it, which lie there too. They have theirs in proportion, where the package gives warp
// alone, else what was planned of it.
func (p Package) Into(piece PieceID, missing measure.Mass) []Taken {
	own := slices.IndexFunc(p.Feeds, func(f Feed) bool { return f.Piece == piece })
	if own < 0 || p.Feeds[own].Warp == "" || missing <= 0 {
		return []Taken{{piece, missing}}
	}
	due := func(f Feed) measure.Mass { return max(0, f.Share-p.UsedIn[f.Piece]) }
	var others []Feed
	var sum measure.Mass
	alone := !p.Feeds[own].Weft
	for _, f := range p.Feeds {
		if f.Piece != piece && f.Warp == p.Feeds[own].Warp && !f.Done {
			others, sum, alone = append(others, f), sum+due(f), alone && !f.Weft
		}
	}
	if alone {
		sum += due(p.Feeds[own])
	}
	left, of := missing, missing
	if !alone {
		of = min(missing, sum)
	}
	var out []Taken
	for _, f := range others {
		if part := min(left, measure.Part(of, int64(due(f)), int64(max(1, sum)))); part > 0 {
			left -= part
			out = append(out, Taken{f.Piece, part})
		}
	}
	return append(out, Taken{piece, left})
}

// weighOnLoom is a weighing; while the package feeds a piece on the loom,
// what is missing went into that piece.
func (p *Package) weighOnLoom(e Event, m Movement) {
	if !m.Given() {
		p.Newer = true // a way of weighing that is not known here
		return
	}
	if m.Receipt {
		net := p.NetOf(m.Reading)
		p.Received += net - p.Held
		p.Held = net
		p.observed(e, m.Reading)
		return
	}
	if i := slices.IndexFunc(p.Feeds, func(f Feed) bool { return !f.Done }); i >= 0 {
		m.Piece = p.Feeds[i].Piece
	}
	if m.Piece != "" {
		p.missingInto(m.Piece, m.Reading)
	}
	p.weigh(e, m.Reading)
	p.Feeds = slices.DeleteFunc(slices.Clone(p.Feeds), func(f Feed) bool { return f.Ended })
}

// missingInto counts what a reading finds missing to a piece, and to those on its warp;
// what it finds too much, as far as the piece had it.
func (p *Package) missingInto(piece PieceID, r Reading) {
	if !p.Known {
		return
	}
	for _, t := range p.Into(piece, max(p.Held-p.NetOf(r), -p.UsedIn[piece])) {
		p.use(t.Piece, t.Mass)
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
	p.debit(e, f)
	p.unfeed(piece, false)
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
	p.known(e.At)
	p.Step = t.Step
	p.OwnTare = true
	p.Weighed = e.At
	p.Moved = e.At
}
