package sqlite_test

import (
	"slices"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

const g = measure.Gram

func TestUsesOnTwoMachinesAllCount(t *testing.T) {
	a, b, id := pair(t)
	use(t, a, id, 100*g)
	use(t, b, id, 30*g)
	exchange(t, a, b)
	sameOn(t, a, b)
	if p := packageOf(t, a, id); p.Held != 370*g || p.Used != 130*g || p.Reweigh() {
		t.Errorf("holds %v, used %v, weigh again %v", p.Held, p.Used, p.Reweigh())
	}
}

func TestAWeighingAbsorbsWhatWasDoneBeforeItWhicheverArrivesFirst(t *testing.T) {
	a, b, id := pair(t)
	use(t, b, id, 30*g) // before the weighing, by the clocks of the workshop
	b.Clock.At = b.Clock.At.Add(hours(2))
	weigh(t, a, id, 450*g)
	use(t, b, id, 10*g) // after it
	exchange(t, a, b)
	sameOn(t, a, b)
	p := packageOf(t, b, id)
	if p.Held != 440*g || p.Used != 40*g || p.Unexplained != 20*g {
		t.Errorf("holds %v, used %v, unexplained %v", p.Held, p.Used, p.Unexplained)
	}
}

func TestAWeighingAndAMovementThatDidNotKnowOfEachOtherAskToBeWeighedAgain(t *testing.T) {
	finishWeighed := func(t *testing.T, s *stashtest.Replica, id stash.PackageID) {
		net := 444 * g
		record(t, s, stash.Draft{Kind: stash.KindFinish, Of: "piece", At: s.Clock.Now(),
			Replaces: packageOf(t, s, id).Heads,
			Body: stash.Finish{Debits: []stash.Debit{{Package: id, Mass: 50 * g}},
				Weighed: []stash.Weighed{{Package: id, Reading: stash.Reading{Net: &net}}}}})
	}
	plainWeighing := func(t *testing.T, s *stashtest.Replica, id stash.PackageID) {
		weigh(t, s, id, 450*g)
	}
	for _, c := range []struct {
		rule    string
		weigh   func(*testing.T, *stashtest.Replica, stash.PackageID)
		later   int // hours until the other one moves it
		knowing bool
		flagged bool
	}{
		{"a weighing", plainWeighing, 1, false, true},
		{"a weighing at the end of a piece", finishWeighed, 1, false, true},
		{"not on different days", plainWeighing, 24, false, false},
		{"not where the other knew", plainWeighing, 1, true, false},
	} {
		t.Run(c.rule, func(t *testing.T) {
			a, b, id := pair(t)
			c.weigh(t, a, id)
			if c.knowing {
				send(t, a, b)
			}
			b.Clock.At = b.Clock.At.Add(hours(c.later))
			use(t, b, id, 20*g)
			exchange(t, a, b)
			sameOn(t, a, b)
			if p := packageOf(t, a, id); p.Reweigh() != c.flagged {
				t.Fatalf("weigh again is %v", p.Reweigh())
			}
			b.Clock.At = b.Clock.At.Add(hours(1))
			use(t, b, id, g) // settles nothing
			if p := packageOf(t, b, id); p.Reweigh() != c.flagged {
				t.Fatalf("after another use, weigh again is %v", p.Reweigh())
			}
			weigh(t, b, id, 400*g)
			exchange(t, a, b)
			sameOn(t, a, b)
			if p := packageOf(t, a, id); p.Reweigh() {
				t.Error("a weighing that saw both did not settle it")
			}
		})
	}
}

func TestUndoingTheSettlingWeighingAsksAgain(t *testing.T) {
	a, b, id := pair(t)
	weigh(t, a, id, 450*g)
	use(t, b, id, 20*g)
	exchange(t, a, b)
	act := weigh(t, b, id, 430*g)
	undo(t, b, act)
	exchange(t, a, b)
	sameOn(t, a, b)
	if p := packageOf(t, a, id); !p.Reweigh() {
		t.Error("nothing settles it any more, and it is not flagged")
	}
}

// TestRetiredHereUsedThereIsNamedAndSettledByAWeighing: the yarn is gone by one
// machine and was used by another; check names it, and the advice works.
func TestRetiredHereUsedThereIsNamedAndSettledByAWeighing(t *testing.T) {
	for rule, net := range map[string]measure.Mass{"it is gone": 0, "it is there": 30 * g} {
		t.Run(rule, func(t *testing.T) {
			a, b, id := pair(t)
			now := a.Clock.Now()
			retired, err := packageOf(t, a,
				id).Retire(stash.Move{At: now, Leftover: stash.LeftoverDiscarded})
			used, err2 := packageOf(t, b, id).Use(stash.Move{Mass: 20 * g, At: now.Add(hours(1))})
			if err != nil || err2 != nil {
				t.Fatal(err, err2)
			}
			record(t, a, retired)
			record(t, b, used)
			exchange(t, a, b)
			named := slices.ContainsFunc(checked(t, a.Store).Findings,
				func(f sqlite.Finding) bool {
					return f.Subject == string(id) && contains(f.Message, "weigh it")
				})
			p := packageOf(t, a, id)
			if !named || !p.Retired || p.Held != -20*g {
				t.Fatalf("named by check: %v; %+v", named, p)
			}
			weighed, err := p.Weigh(stash.Move{At: now.Add(hours(2)),
				Reading: stash.Reading{Net: &net}})
			if err != nil {
				t.Fatal(err)
			}
			record(t, a, weighed)
			exchange(t, a, b)
			sameOn(t, a, b)
			if p = packageOf(t, b, id); p.Held != net || len(p.Question) > 0 ||
				p.Retired != (net == 0) || p.Heads == nil {
				t.Errorf("after the weighing %+v", p)
			}
			if _, err := p.Weigh(stash.Move{At: now.Add(hours(3)),
				Reading: stash.Reading{Net: &net}}); (err == nil) != (net > 0) {
				t.Errorf("weighed again: %v", err)
			}
		})
	}
}

func finishOf(id stash.PackageID, mass measure.Mass) stash.Draft {
	return stash.Draft{Kind: stash.KindFinish, Of: "piece", Body: stash.Finish{
		Debits: []stash.Debit{{Package: id, Role: stash.RoleWarp, Mass: mass}},
		Thrums: []stash.Thrums{{Package: "thrums" + stash.PackageID(mass.Format(measure.Metric)),
			Mass: g, Fields: stash.Fields{"colour": stashtest.JSON("oat")}}},
	}}
}

func TestThePieceFinishedTwiceCountsOnce(t *testing.T) {
	a, b, id := pair(t)
	record(t, a, stash.Draft{Kind: stash.KindPlan, Of: "piece",
		Body: stash.Making{Name: "scarf", Plan: &stash.Plan{}}})
	exchange(t, a, b)
	first := record(t, a, finishOf(id, 100*g))
	b.Clock.At = b.Clock.At.Add(hours(1))
	record(t, b, finishOf(id, 70*g))
	exchange(t, a, b)
	sameOn(t, a, b)
	holds := func(rule string, held measure.Mass, questions int) {
		t.Helper()
		sameOn(t, a, b)
		p := packageOf(t, b, id)
		if piece := pieceOf(t, b, "piece"); p.Held != held || len(p.Question) != questions ||
			len(piece.Question) != questions || piece.State != stash.Finished {
			t.Fatalf("%s: holds %v, questions %q %q, piece %s", rule, p.Held, p.Question,
				piece.Question, piece.State)
		}
	}
	holds("the earlier one counts, the other is a question", 400*g, 1)
	undone := undo(t, b, first)
	exchange(t, a, b)
	holds("without it the other counts", 430*g, 0)
	undo(t, a, undone)
	exchange(t, a, b)
	holds("the undo undone, the earlier one counts again", 400*g, 1)
}

func TestAnActThatCameInPartsIsUndoneWhole(t *testing.T) {
	a, b := newStore(t), openAt(t, t.TempDir()+"/b.db", 2)
	net := 100 * g
	var drafts []stash.Draft
	for _, id := range []stash.Subject{"one", "two", "three"} {
		drafts = append(drafts, stash.Draft{Kind: stash.KindReceive, Of: id,
			Body: stash.Receive{Fields: stash.Fields{"yarn": stashtest.JSON("y")},
				Reading: stash.Reading{Net: &net}}})
	}
	drafts[2].Kind, drafts[2].Private, drafts[2].Body = stash.KindPerson, true,
		stash.Set{What: stash.WhatPerson, Fields: stash.Fields{"name": stashtest.JSON("A. Weaver")}}
	act := record(t, a, drafts...)
	runs, err := stashtest.Runs(a.Store)
	if err != nil {
		t.Fatal(err)
	}
	for i, part := range stashtest.Cut(runs[0], 1) {
		if i == 1 {
			receive(t, b, g) // comes between
		}
		if _, err := stashtest.Accept(b.Store, part); err != nil {
			t.Fatal(err)
		}
	}
	undo(t, b, act) // b never heard of the private part
	send(t, b, a)
	checked(t, a.Store)
	checked(t, b.Store)
	if p := packageOf(t, a, "two"); p.Yarn != "" || p.Held != 0 {
		t.Errorf("half of the act stands: %+v", p)
	}
	err = a.View(ctx, func(tx *sqlite.Tx) error {
		people, err := tx.People()
		if len(people) != 0 {
			t.Errorf("the private part stands: %+v", people)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestFactsStandBesideEachOtherUntilSettled(t *testing.T) {
	a, b, id := pair(t)
	set := func(s *stashtest.Replica, colour string) stash.Act {
		fields := stash.Fields{"colour": stashtest.JSON(colour)}
		var seen []stash.EventID
		err := s.View(ctx, func(tx *sqlite.Tx) error {
			facts, err := tx.Facts(stash.Subject(id))
			seen = facts.Seen(fields)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return record(t, s, stash.Draft{Kind: stash.KindSet, Of: stash.Subject(id), Replaces: seen,
			Body: stash.Set{What: stash.WhatPackage, Fields: fields}})
	}
	shows := func(rule, colour string, disputed int) {
		t.Helper()
		sameOn(t, a, b)
		if p := packageOf(t, a, id); p.Colour != colour || len(p.Disputed["colour"]) != disputed {
			t.Fatalf("%s: %q, disputed %s", rule, p.Colour, p.Disputed["colour"])
		}
	}
	set(a, "oat")
	exchange(t, a, b)
	set(b, "rust")
	exchange(t, a, b)
	shows("a later value that saw the earlier replaces it", "rust", 0)
	set(a, "slate")
	b.Clock.At = b.Clock.At.Add(hours(1))
	set(b, "moss")
	exchange(t, a, b)
	shows("two that did not know of each other stand, the later one shown", "moss", 2)
	a.Clock.At = a.Clock.At.Add(-hours(24 * 365))
	settled := set(a, "slate")
	exchange(t, a, b)
	shows("one that saw both settles it, whatever the clock says", "slate", 0)
	undo(t, b, settled)
	exchange(t, a, b)
	shows("undone, the two stand again", "moss", 2)
}

func TestAUseIsKeptThoughThePackageWasRetiredElsewhere(t *testing.T) {
	a, b, id := pair(t)
	move(t, a, id, stash.Move{Leftover: stash.LeftoverLost}, stash.Package.Retire)
	b.Clock.At = b.Clock.At.Add(hours(1))
	use(t, b, id, 20*g)
	exchange(t, a, b)
	sameOn(t, a, b)
	if p := packageOf(t, a, id); p.Used != 20*g || p.Held != -20*g || len(p.Question) == 0 {
		t.Errorf("used %v, holds %v, questions %q", p.Used, p.Held, p.Question)
	}
}

func TestAnEventOfLongAgoFoldsIntoItsPlace(t *testing.T) {
	s := newStore(t)
	id := receive(t, s, 500*g)
	arrived := packageOf(t, s, id).Arrived
	s.Clock.At = s.Clock.At.Add(hours(48))
	weigh(t, s, id, 400*g)
	move(t, s, id, stash.Move{Mass: 60 * g, At: arrived.Add(hours(1))}, stash.Package.Use)
	checked(t, s.Store)
	if p := packageOf(t, s, id); p.Held != 400*g || p.Unexplained != 40*g {
		t.Errorf("holds %v, unexplained %v", p.Held, p.Unexplained)
	}
}

// TestATwinFoundInTheTransactionThatWrote: what the transaction itself wrote
// under the lane is the longer history of the two.
func TestATwinFoundInTheTransactionThatWrote(t *testing.T) {
	folder := t.TempDir()
	lane := closed(t, folder+"/stash.db")
	backup := read(t, folder+"/stash.db")
	s := openAt(t, folder+"/stash.db", 7)
	record(t, s, stash.Draft{Kind: stash.KindUse, Of: "other", Body: stash.Movement{Mass: g}})
	runs, err := stashtest.Runs(s.Store)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	write(t, folder+"/stash.db", backup)
	s = openAt(t, folder+"/stash.db", 8)
	err = s.Act(ctx, func(tx *sqlite.Tx) error {
		for range 3 {
			if _, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
				Body: stash.Movement{Mass: g}}); err != nil {
				return err
			}
		}
		out, err := tx.Accept(runs[0])
		if !out.Twin {
			t.Error("the twin was not noticed")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	checked(t, s.Store)
	if l := lanesOf(t, s)[0]; l.Name != lane || l.Last != 4 || l.Own {
		t.Errorf("the old lane is %+v", l)
	}
}
