package stashtest

import (
	"context"
	"fmt"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// bigTurn is how many events one lane writes before another goes on; they go
// into one transaction.
const bigTurn = 50_000

// Big makes a stash of many packages and many events in a file: yarns of two
// hundred names, each package received once, then used, weighed, discarded and
// given away in turns by four replicas who knew of each other. The same
// arguments give the same events.
func Big(path string, packages, events int) error {
	clock := NewClock()
	s, err := sqlite.Open(context.Background(), path, clock.Options(1))
	if err != nil {
		return err
	}
	defer s.Close()
	for _, run := range BigRuns(packages, events) {
		if _, err := Accept(s, run); err != nil {
			return err
		}
	}
	return nil
}

// BigRuns gives the events of Big as runs to be accepted in this order.
func BigRuns(packages, events int) []sqlite.Incoming {
	b := bigWriter{last: make([]stash.EventID, packages)}
	for i := range b.lanes {
		b.lanes[i] = NewWriter(uint64(500 + i))
	}
	yarns := min(200, packages)
	var runs []sqlite.Incoming
	lane, from := 0, int64(1)
	var previous stash.Chain
	cut := func() {
		if run := b.lanes[lane].since(from, previous); len(run.Lines) > 0 {
			runs = append(runs, run)
		}
		lane = (lane + 1) % len(b.lanes)
		from, previous = int64(len(b.lanes[lane].in.Lines))+1, b.lanes[lane].in.Chain
	}
	for i := range events {
		b.write(b.lanes[lane], i, yarns)
		if i%bigTurn == bigTurn-1 {
			cut()
		}
	}
	cut()
	return runs
}

// since is what was written from a number on.
func (w *Writer) since(first int64, previous stash.Chain) sqlite.Incoming {
	in := w.in
	in.First, in.Previous, in.Lines = first, previous, in.Lines[first-1:]
	return in
}

type bigWriter struct {
	lanes [4]*Writer
	last  []stash.EventID
}

// write writes the i-th event: yarns first, then packages, then movements.
func (b *bigWriter) write(w *Writer, i, yarns int) {
	at := Start.Add(time.Duration(i) * 7 * time.Minute)
	line := stash.Line{Clock: stash.ClockAt(at), At: at}
	n := i - yarns
	switch {
	case i < yarns:
		line.Kind, line.Of = stash.KindYarn, stash.Subject(fmt.Sprintf("yarn%08d", i))
		line.Body = JSON(stash.Set{What: stash.WhatYarn,
			Fields: stash.Fields{"name": JSON(fmt.Sprintf("Yarn %03d", i)),
				"count": JSON(stash.CountFact{Count: 74_000, Source: measure.Label})}})
		w.Line(line)
	case n < len(b.last):
		mass := 500 * measure.Gram
		line.Kind, line.Of = stash.KindReceive, bigPackage(n)
		line.Body = JSON(stash.Receive{Fields: stash.Fields{
			"yarn": JSON(fmt.Sprintf("yarn%08d", n%yarns)), "form": JSON("cone"),
			"tag": JSON(fmt.Sprintf("P%05d", n)), "colour": JSON("oat")},
			Reading: stash.Reading{Net: &mass, Step: measure.Gram}})
		b.last[n] = w.Line(line).ID()
	default:
		of := n % len(b.last)
		line.Of, line.Replaces = bigPackage(of), []stash.EventID{b.last[of]}
		line.Kind, line.Body = bigMovement(n / len(b.last))
		b.last[of] = w.Line(line).ID()
	}
}

func bigPackage(n int) stash.Subject { return stash.Subject(fmt.Sprintf("package%05d", n)) }

// bigMovement is the n-th movement of a package: a weighing in ten, which
// finds what is expected, a spoiling and a gift, and uses.
func bigMovement(n int) (stash.Kind, []byte) {
	mass := measure.Gram / 2
	switch n % 10 {
	case 9:
		net := max(0, 500*measure.Gram-measure.Mass(n-1-n/10)*mass)
		return stash.KindWeigh, JSON(stash.Movement{Reading: stash.Reading{Net: &net,
			Step: measure.Gram}})
	case 4:
		return stash.KindDiscard, JSON(stash.Movement{Mass: mass})
	case 7:
		return stash.KindGive, JSON(stash.Movement{Mass: mass, Who: "a friend"})
	}
	return stash.KindUse, JSON(stash.Movement{Mass: mass, Note: "sample"})
}
