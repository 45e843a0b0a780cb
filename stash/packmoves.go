package stash

import (
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

func (p *Package) tare() measure.Mass {
	if p.Tare == nil {
		return 0
	}
	return p.Tare.Mass
}

// NetOf is the yarn alone of a reading of the package's, by its tare.
func (p Package) NetOf(r Reading) measure.Mass { return r.NetWith(p.tare()) }

func (p *Package) receive(e Event) {
	var r Receive
	if jsonv2.Unmarshal(e.Body, &r) != nil {
		p.Newer = true
		return
	}
	p.Arrived = e.At
	if r.Given() {
		p.weigh(e, r.Reading) // used before it was recorded, it came in with that too
	}
}

// known notes from when on its weight is known, if it was not before.
func (p *Package) known(at time.Time) {
	if !p.Known {
		p.Since, p.Before = at, p.Used+p.Discarded+p.Given+p.Out
	}
	p.Known = true
}

// observed notes a reading of the scale.
func (p *Package) observed(e Event, r Reading) {
	p.known(e.At)
	p.readings++
	p.Step = r.Step
	p.OwnTare = r.Gross == nil || r.Tare != nil
	if p.Weighed = e.At; r.Undated {
		p.Weighed = time.Time{}
	}
	p.Moved = e.At
}

// weigh sets what the package holds. The difference is unexplained, or, for
// a package that was never weighed, part of what it received.
func (p *Package) weigh(e Event, r Reading) {
	net := p.NetOf(r)
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
		p.Question = slices.DeleteFunc(slices.Clone(p.Question),
			func(q string) bool { return q == asked })
		return
	}
	p.ask(asked)
}

func (p *Package) lend(e Event, m Movement) {
	if m.Given() {
		p.weighOnLoom(e, m)
	}
	p.LentTo, p.LentAt, p.LentUntil = m.Who, e.At, m.Until
}

// comeBack ends a loan; what the borrower used counts as given. Of a package that was not
// weighed when it was lent, what pieces on the loom are still due of it is not the
// borrower's.
func (p *Package) comeBack(e Event, m Movement) {
	gone := p.Held - p.NetOf(m.Reading)
	if p.Weighed.Before(p.LentAt) {
		gone -= p.dueOnLoom()
	}
	if m.Given() && p.Known && gone > 0 {
		p.Held -= gone
		p.Given += gone
	}
	if m.Given() {
		p.weighOnLoom(e, m)
	}
	p.LentTo, p.LentAt, p.LentUntil = "", time.Time{}, ""
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
		p.ask("it was wound onto no other item, which counts nothing")
		return
	}
	p.Moved = e.At
	if Subject(p.ID) == e.Of {
		p.Held -= m.Mass
		p.Out += m.Mass
		return
	}
	if p.Arrived.IsZero() && arrives(p.ID, e) {
		p.Arrived, p.OwnTare = e.At, true
		p.known(e.At)
	}
	p.Held += m.Mass
	p.In += m.Mass
}
