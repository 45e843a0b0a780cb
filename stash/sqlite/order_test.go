package sqlite_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// said is one thing that a weaver says of a cone: what the scale showed, or that
// the piece which it feeds was started or finished, on a day.
type said struct {
	day  int
	kind stash.Kind
	net  measure.Mass // of a weighing, or in a finish; -1 for none
}

// story is what is said of a cone of 500 g in one piece: weighings on days of
// their own, a start, and a finish that weighs the cone or computes its use.
type story struct {
	facts []said
	whole measure.Mass // the computed use
}

func drawStory(t *rapid.T) story {
	start := rapid.IntRange(1, 8).Draw(t, "start")
	finish := rapid.IntRange(start+1, 18).Draw(t, "finish")
	s := story{whole: measure.Mass(rapid.IntRange(1, 200).Draw(t, "computed")) * g}
	held := 500 * g
	for day := range 20 {
		one := said{day: day, net: -1}
		held -= measure.Mass(rapid.IntRange(0, 12).Draw(t, "gone")) * g
		switch {
		case day == start:
			one.kind = stash.KindStart
		case day == finish:
			if one.kind = stash.KindFinish; rapid.Bool().Draw(t, "weighed") {
				one.net = held
			}
		case rapid.IntRange(0, 3).Draw(t, "weigh") == 0:
			one.kind, one.net = stash.KindWeigh, held
		default:
			continue
		}
		s.facts = append(s.facts, one)
	}
	return s
}

// account is the ledger of a story in a few lines: the day order is all that
// counts.
func (s story) account() (held, used, unexplained measure.Mass) {
	held = 500 * g
	fed := false
	for _, f := range s.facts {
		gone := held - f.net
		switch {
		case f.kind == stash.KindStart:
			fed = true
		case f.kind == stash.KindFinish && f.net < 0:
			if fed = false; used < s.whole-s.whole/10 {
				held, used = held-(s.whole-used), s.whole
			}
		case fed:
			gone = max(gone, -used)
			held, used, fed = held-gone, used+gone, f.kind == stash.KindWeigh
			unexplained, held = unexplained+held-f.net, f.net
		default:
			held, unexplained = f.net, unexplained+gone
		}
	}
	return held, used, unexplained
}

// begun is the day of the start.
func (s story) begun() int {
	return s.facts[slices.IndexFunc(s.facts,
		func(f said) bool { return f.kind == stash.KindStart })].day
}

var dayOne = time.Date(2026, 2, 1, 12, 0, 0, 0, time.UTC)

// say records one thing on a replica.
func (s story) say(t rapid.TB, r *stashtest.Replica, id stash.PackageID, f said) stash.Act {
	net, at := f.net, dayOne.AddDate(0, 0, f.day)
	d := stash.Draft{Kind: f.kind, Of: "piecescarf01", At: at, Replaces: headsOf(t, r, id)}
	switch f.kind {
	case stash.KindWeigh:
		d.Of, d.Body = stash.Subject(id), stash.Movement{Reading: stash.Reading{Net: &net}}
	case stash.KindStart:
		d.Body = stash.Making{Name: "scarf 1",
			Plan: &stash.Plan{Allotments: []stash.Allotment{{Package: id, Ends: 10,
				Mass: s.whole}}}}
	default:
		finish := stash.Finish{Debits: []stash.Debit{{Package: id, Role: stash.RoleWarp,
			Mass: s.whole, Whole: s.whole}}}
		if net >= 0 {
			finish = stash.Finish{Debits: []stash.Debit{{Package: id, Role: stash.RoleWarp, Mass: g,
				Measured: true}},
				Weighed: []stash.Weighed{{Package: id, Reading: stash.Reading{Net: &net}}}}
		}
		d.Body = finish
	}
	var act stash.Act
	err := r.Act(ctx, func(tx *sqlite.Tx) error {
		_, err := tx.Record(d)
		act = tx.Act()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return act
}

func headsOf(t rapid.TB, r *stashtest.Replica, id stash.PackageID) (heads []stash.EventID) {
	err := r.View(ctx, func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(id)
		heads = p.Heads
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return heads
}

// undoing reverses an act.
func undoing(t rapid.TB, r *stashtest.Replica, act stash.Act) {
	err := r.Act(ctx, func(tx *sqlite.Tx) error {
		events, err := tx.ActNamed(act)
		if err == nil {
			_, err = tx.Record(sqlite.DraftUndo(events))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestTheSameFactsInAnyOrderGiveTheSameLedger says the same facts in a drawn
// order, on one of three machines each, with wrong ones before that are taken
// back, and holds what comes of it against the few lines of account.
func TestTheSameFactsInAnyOrderGiveTheSameLedger(t *testing.T) {
	folder, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		var machines []*stashtest.Replica
		for i := range rapid.IntRange(1, 3).Draw(t, "machines") {
			r, err := stashtest.Open(filepath.Join(folder, fmt.Sprintf("%d-%d.db", n, i)),
				fmt.Sprint(i), uint64(i)+1)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = r.Close() }()
			machines = append(machines, r)
		}
		all := 500 * g
		id := stash.PackageID("packagecone1")
		_, err := 0, machines[0].Act(ctx, func(tx *sqlite.Tx) error {
			_, err := tx.Record(stash.Draft{Kind: stash.KindReceive, Of: stash.Subject(id),
				At: dayOne.AddDate(0, 0, -9), Body: stash.Receive{
					Fields:  stash.Fields{"yarn": stashtest.JSON("a yarn")},
					Reading: stash.Reading{Net: &all}}})
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		s := drawStory(t)
		facts := rapid.Permutation(s.facts).Draw(t, "order")
		for _, f := range facts {
			r := machines[rapid.IntRange(0, len(machines)-1).Draw(t, "machine")]
			if rapid.IntRange(0, 3).Draw(t, "wrong first") == 0 {
				wrong := f
				wrong.net = max(0, f.net-3*g)
				if f.kind == stash.KindFinish {
					wrong.day = rapid.IntRange(s.begun(), f.day).Draw(t, "too early")
				}
				undoing(t, r, s.say(t, r, id, wrong))
			}
			s.say(t, r, id, f)
		}
		for range 2 {
			for _, a := range machines {
				for _, b := range machines {
					if a != b {
						if err := stashtest.Send(a.Store, b.Store); err != nil {
							t.Fatal(err)
						}
					}
				}
			}
		}
		held, used, unexplained := s.account()
		for i, r := range machines {
			var p stash.Package
			if err := r.View(ctx,
				func(tx *sqlite.Tx) (err error) {
					p, _, err = tx.Package(id)
					return err
				}); err != nil {
				t.Fatal(err)
			}
			if p.Held != held || p.UsedIn["piecescarf01"] != used || p.Unexplained != unexplained {
				t.Fatalf("machine %d: held %s, used %s, unexplained %s; the days give %s, %s, %s\n%+v", i, p.Held, p.Used, p.Unexplained, held, used, unexplained, s)
			}
			checked(t, r.Store)
		}
	})
	if n < 10 {
		t.Fatalf("only %d stories", n)
	}
}
