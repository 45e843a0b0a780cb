package sqlite_test

import (
	"bytes"
	"errors"
	"slices"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// writeUses has a writer receive a package and use a gram of it n times.
func writeUses(w *stashtest.Writer, n int) {
	net := 500 * g
	heads := []stash.EventID(nil)
	e := w.Line(stash.Line{Kind: stash.KindReceive, Of: "cone",
		Body: stashtest.JSON(stash.Receive{Fields: stash.Fields{"yarn": stashtest.JSON("y")},
			Reading: stash.Reading{Net: &net}})})
	for range n {
		heads = []stash.EventID{e.ID()}
		e = w.Line(stash.Line{Kind: stash.KindUse, Of: "cone", Replaces: heads,
			Body: stashtest.JSON(stash.Movement{Mass: g})})
	}
}

func accept(t *testing.T, s *stashtest.Replica, in sqlite.Incoming) sqlite.Accepted {
	t.Helper()
	out, err := stashtest.Accept(s.Store, in)
	if err != nil {
		t.Fatal(err)
	}
	checked(t, s.Store)
	return out
}

// events counts what a stash holds.
func events(t testing.TB, s *sqlite.Store) int {
	t.Helper()
	n := 0
	err := s.View(ctx, func(tx *sqlite.Tx) error {
		return tx.Events(true, func(stash.Event) error { n++; return nil })
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestAcceptTakesEachEventOnce(t *testing.T) {
	w, s := stashtest.NewWriter(5), newStore(t)
	writeUses(w, 9)
	parts := stashtest.Cut(w.Run(), 4)
	if out := accept(t, s, parts[0]); out.New != 4 || out.Twin {
		t.Errorf("the first part: %+v", out)
	}
	if out := accept(t, s, w.Run()); out.New != 6 {
		t.Errorf("all of it, four of ten known: %+v", out)
	}
	if out := accept(t, s, parts[1]); out.New != 0 {
		t.Errorf("a part in the middle again: %+v", out)
	}
	if p := packageOf(t, s, "cone"); p.Held != 491*g || events(t, s.Store) != 10 {
		t.Errorf("holds %v after %d events", p.Held, events(t, s.Store))
	}
}

func TestAcceptWaitsForWhatComesBefore(t *testing.T) {
	w, s := stashtest.NewWriter(5), newStore(t)
	writeUses(w, 9)
	parts := stashtest.Cut(w.Run(), 4)
	_, err := stashtest.Accept(s.Store, parts[1])
	var gap *sqlite.GapError
	if !errors.As(err, &gap) || gap.Before != 5 || gap.Lane != parts[1].Lane {
		t.Fatalf("got %v", err)
	}
	if events(t, s.Store) != 0 {
		t.Error("something was stored")
	}
}

func TestAcceptRefusesWhatWasNotWritten(t *testing.T) {
	w := stashtest.NewWriter(5)
	writeUses(w, 3)
	whole := w.Run()
	damage := func(change func(*sqlite.Incoming)) sqlite.Incoming {
		in := whole
		in.Lines = slices.Clone(in.Lines)
		change(&in)
		return in
	}
	for _, c := range []struct {
		rule string
		in   sqlite.Incoming
	}{
		{"a changed byte", damage(func(in *sqlite.Incoming) {
			in.Lines[1] = bytes.Replace(in.Lines[1], []byte("1000"), []byte("2000"), 1)
		})},
		{"a line left out", damage(func(in *sqlite.Incoming) {
			in.Lines = slices.Delete(in.Lines, 2, 3)
		})},
		{"the last line left out", damage(func(in *sqlite.Incoming) { in.Lines = in.Lines[:3] })},
		{"lines in another order",
			damage(func(in *sqlite.Incoming) {
				in.Lines[2], in.Lines[3] = in.Lines[3], in.Lines[2]
			})},
		{"another lane's name", damage(func(in *sqlite.Incoming) { in.Lane = "another" })},
		{"no lines", damage(func(in *sqlite.Incoming) { in.Lines = nil })},
		{"a first line that follows something",
			damage(func(in *sqlite.Incoming) { in.Previous[0] = 1 })},
		{"a number below one", damage(func(in *sqlite.Incoming) { in.First = 0 })},
	} {
		t.Run(c.rule, func(t *testing.T) {
			s := newStore(t)
			_, err := stashtest.Accept(s.Store, c.in)
			refused(t, err, stash.CodeInput, "events")
			if events(t, s.Store) != 0 {
				t.Error("something was stored")
			}
		})
	}
}

func TestAcceptRefusesAKnownLaneUnderAnotherKey(t *testing.T) {
	w, s := stashtest.NewWriter(5), newStore(t)
	writeUses(w, 1)
	accept(t, s, w.Run())
	w.Line(stash.Line{Kind: "dye", Of: "cone"})
	for rule, change := range map[string]func(*sqlite.Incoming){
		"key":  func(in *sqlite.Incoming) { in.Key = bytes.Repeat([]byte{7}, 32) },
		"kind": func(in *sqlite.Incoming) { in.Private = true },
	} {
		in := w.Run()
		change(&in)
		_, err := stashtest.Accept(s.Store, in)
		refused(t, err, stash.CodeInput, "another key")
		if events(t, s.Store) != 2 {
			t.Errorf("another %s: something was stored", rule)
		}
	}
}

func TestTwoHistoriesUnderOneNameAreBothKept(t *testing.T) {
	w := stashtest.NewWriter(5)
	writeUses(w, 2)
	twin := w.Fork()
	w.Line(stash.Line{Kind: stash.KindUse, Of: "cone",
		Body: stashtest.JSON(stash.Movement{Mass: 10 * g})})
	twin.Line(stash.Line{Kind: stash.KindUse, Of: "cone",
		Body: stashtest.JSON(stash.Movement{Mass: 20 * g})})
	twin.Line(stash.Line{Kind: stash.KindUse, Of: "cone",
		Body: stashtest.JSON(stash.Movement{Mass: 30 * g})})
	a, b := newStore(t), openAt(t, t.TempDir()+"/b.db", 2)
	accept(t, a, w.Run())
	accept(t, a, twin.Run())
	accept(t, b, twin.Run())
	accept(t, b, w.Run())
	sameOn(t, a, b)
	if p := packageOf(t, a, "cone"); p.Used != 62*g || events(t, a.Store) != 6 {
		t.Errorf("used %v in %d events", p.Used, events(t, a.Store))
	}
	c := openAt(t, t.TempDir()+"/c.db", 3)
	send(t, a, c)
	sameOn(t, a, c)
	for _, s := range []*stashtest.Replica{a, b, c} {
		if end := lanesOf(t, s)[0]; end.Last != 5 || end.Chain != twin.Run().Chain {
			t.Errorf("the end of the lane is not that of the longest history: %+v", end)
		}
	}
}

func lanesOf(t testing.TB, s *stashtest.Replica) []sqlite.Lane {
	t.Helper()
	var lanes []sqlite.Lane
	err := s.View(ctx, func(tx *sqlite.Tx) (err error) {
		lanes, err = tx.Lanes()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return lanes
}

// ownLane is the open lane that a replica writes now.
func ownLane(t testing.TB, s *stashtest.Replica) stash.Lane {
	t.Helper()
	for _, l := range lanesOf(t, s) {
		if l.Own && !l.Private {
			return l.Name
		}
	}
	return ""
}

// TestATwinTakesANewLane: a restored backup comes upon what it wrote after
// the backup was made, or a clone upon what the other clone wrote.
func TestATwinTakesANewLane(t *testing.T) {
	for _, c := range []struct {
		rule  string
		since int // uses after the restore
	}{
		{"a backup without anything new", 0},
		{"a backup with something new", 2},
	} {
		t.Run(c.rule, func(t *testing.T) {
			folder := t.TempDir()
			path := folder + "/stash.db"
			old, other := openAt(t, path, 1), openAt(t, folder+"/other.db", 2)
			id := receive(t, old, 500*g)
			if err := old.Close(); err != nil {
				t.Fatal(err)
			}
			backup := read(t, path)
			old = openAt(t, path, 7)
			old.Clock.At = old.Clock.At.Add(hours(1))
			use(t, old, id, 10*g)
			use(t, old, id, 10*g)
			send(t, old, other)
			if err := old.Close(); err != nil {
				t.Fatal(err)
			}
			write(t, path, backup)
			restored := openAt(t, path, 8)
			restored.Clock.At = restored.Clock.At.Add(hours(2))
			for range c.since {
				use(t, restored, id, g)
			}
			before := ownLane(t, restored)
			runs, err := stashtest.Runs(other.Store)
			if err != nil {
				t.Fatal(err)
			}
			if out := accept(t, restored, runs[0]); !out.Twin || out.New != 2 {
				t.Fatalf("the twin was not noticed: %+v", out)
			}
			use(t, restored, id, 5*g)
			if now := ownLane(t, restored); now == before || now == "" {
				t.Errorf("it still writes lane %s", now)
			}
			if out := accept(t, restored, runs[0]); out.Twin || out.New != 0 {
				t.Errorf("noticed again: %+v", out)
			}
			exchange(t, restored, other)
			sameOn(t, restored, other)
			if p, want := packageOf(t, other, id),
				measure.Mass(500-20-c.since-5)*g; p.Held != want {
				t.Errorf("holds %v, want %v", p.Held, want)
			}
		})
	}
}

func TestAcceptInTheTransactionOfACommandOfOurOwn(t *testing.T) {
	w, s := stashtest.NewWriter(5), newStore(t)
	writeUses(w, 3)
	err := s.Act(ctx, func(tx *sqlite.Tx) error {
		if _, err := tx.Record(stash.Draft{Kind: stash.KindYarn, Of: "yarn",
			Body: stash.Set{What: stash.WhatYarn,
				Fields: stash.Fields{"name": stashtest.JSON("n")}}}); err != nil {
			return err
		}
		if _, err := tx.Accept(w.Run()); err != nil {
			return err
		}
		p, _, err := tx.Package("cone")
		if p.Held != 497*g {
			t.Errorf("holds %v", p.Held)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	use(t, s, "cone", g)
	checked(t, s.Store)
}

func TestAcceptMovesTheClockAtMostADayAhead(t *testing.T) {
	for _, c := range []struct {
		rule        string
		theirs      time.Duration // beyond our wall clock
		least, most time.Duration
	}{
		{"a clock behind moves nothing", -time.Hour, 0, time.Hour},
		{"a clock ahead is followed", time.Hour, time.Hour, 2 * time.Hour},
		{"a clock years ahead is followed for a day", 10 * 365 * 24 * time.Hour, 24 * time.Hour,
			25 * time.Hour},
	} {
		t.Run(c.rule, func(t *testing.T) {
			w, s := stashtest.NewWriter(5), newStore(t)
			w.Line(stash.Line{Kind: "dye", Of: "cone",
				Clock: stash.ClockAt(s.Clock.At.Add(c.theirs))})
			accept(t, s, w.Run())
			wall := s.Clock.At
			var e stash.Event
			err := s.Act(ctx, func(tx *sqlite.Tx) (err error) {
				e, err = tx.Record(stash.Draft{Kind: stash.KindUse, Of: "cone",
					Body: stash.Movement{Mass: g}})
				return err
			})
			if ahead := e.Clock.Time().Sub(wall); err != nil || ahead < c.least-5*time.Minute ||
				ahead > c.most {
				t.Errorf("%v, ahead by %v", err, ahead)
			}
		})
	}
}
