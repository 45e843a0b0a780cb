package stash

import (
	"bytes"
	"cmp"
	"slices"
)

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
	p := unmoved(id, facts, env)
	moves = slices.Clone(moves)
	slices.SortFunc(moves, Order)
	did := make([]effect, len(moves))
	for i, e := range moves {
		did[i] = p.applySaying(e, env)
	}
	p.Apart = conflictingWeighing(moves, did)
	return p
}

// unmoved is a package with its facts, before its first movement.
func unmoved(id PackageID, facts []Event, env Env) Package {
	if only, ok := onlyFacts[PackageFacts](facts, env); ok {
		return Package{ID: id, PackageFacts: only}
	}
	folded, newer := foldFacts(Subject(id), facts, env)
	fitted, unfit := fitFacts[PackageFacts](folded.Shown())
	return Package{ID: id, PackageFacts: fitted, Disputed: folded.Disputed(),
		Account: Account{Newer: newer || unfit}}
}

// Follows says whether e can be applied to p as it is: it stands after all
// that p was folded from and its writer had seen all of it.
func (p Package) Follows(e Event) bool {
	if len(p.Heads) == 0 {
		return true
	}
	if p.Reweigh() {
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
	if p.Arrived.IsZero() && !arrives(p.ID, e) && !p.acquiredBy(e.At) {
		p.ask("it was used or weighed before it arrived: set acquired to the day it came")
	}
	switch e.Kind {
	case KindReceive:
		p.receive(e)
	case KindFinish:
		p.finish(e, env)
	case KindStart:
		p.started(e)
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

// applySaying applies a movement and says what it did to the package.
func (p *Package) applySaying(e Event, env Env) effect {
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
		p.feed(PieceID(e.Of), nil)
	}
}

// nextHeads replaces what e had seen by e itself.
func nextHeads(heads []EventID, e Event) []EventID {
	out := slices.DeleteFunc(slices.Clone(heads),
		func(id EventID) bool { return slices.Contains(e.Replaces, id) })
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
