package sqlite_test

import (
	"path/filepath"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// rowDraft is a package that came from a row.
func rowDraft(id stash.Subject, key, content string) stash.Draft {
	net := 100 * g
	fields := stash.Fields{"yarn": stashtest.JSON("y"),
		"row": stashtest.JSON(stash.Row{Key: key, Content: content})}
	return stash.Draft{Kind: stash.KindReceive, Of: id,
		Body: stash.Receive{Fields: fields, Reading: stash.Reading{Net: &net}}}
}

// contentOf is the content of the row with a key, empty where it is not known.
func contentOf(t *testing.T, s *stashtest.Replica, key string) (content string) {
	t.Helper()
	err := s.View(ctx, func(tx *sqlite.Tx) error {
		p, found, err := tx.RowPackage(key)
		if found {
			content = p.Row.Content
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func wantContent(t *testing.T, s *stashtest.Replica, when, want string) {
	t.Helper()
	if got := contentOf(t, s, "k"); got != want {
		t.Errorf("%s: the row's content is %q, want %q", when, got, want)
	}
	checked(t, s.Store)
}

func TestARowIsKnownAsLongAsItStands(t *testing.T) {
	s := newStore(t)
	wantContent(t, s, "before it came", "")
	came := record(t, s, rowDraft("cone", "k", "one"))
	wantContent(t, s, "once it came", "one")
	set := stash.Draft{Kind: stash.KindSet, Of: "cone", Body: stash.Set{What: stash.WhatPackage,
		Fields: stash.Fields{"row": stashtest.JSON(stash.Row{Key: "k", Content: "two"})}}}
	err := s.Act(ctx, func(tx *sqlite.Tx) error {
		facts, err := tx.Facts("cone")
		if err == nil {
			set.Replaces = facts.Seen(stash.Fields{"row": nil})
			_, err = tx.Record(set)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	wantContent(t, s, "once it was corrected", "two")
	undoLast(t, s)
	wantContent(t, s, "once the correction was undone", "one")

	other := openAt(t, filepath.Join(t.TempDir(), "other.db"), 2)
	send(t, s, other)
	wantContent(t, other, "on a machine that learnt of it", "one")

	undoLast(t, s)
	wantContent(t, s, "once its coming was undone", "")
	send(t, s, other)
	wantContent(t, other, "where the undo came too", "")
	if came == "" {
		t.Error("nothing was recorded")
	}
}

// undoLast reverses the last act.
func undoLast(t *testing.T, s *stashtest.Replica) {
	t.Helper()
	err := s.Act(ctx, func(tx *sqlite.Tx) error {
		events, _, err := tx.LastAct(false)
		if err == nil {
			_, err = tx.Record(sqlite.DraftUndo(events))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What was read before it is written is written alike.
func TestAPackageThatIsReadInTheActThatReceivesItIsAsAnyOther(t *testing.T) {
	s := newStore(t)
	var act stash.Act
	read := func(draft stash.Draft) {
		t.Helper()
		err := s.Act(ctx, func(tx *sqlite.Tx) error {
			if _, err := tx.Record(draft); err != nil {
				return err
			}
			act = tx.Act()
			_, found, err := tx.Package("p")
			if !found {
				t.Error("not found")
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		checked(t, s.Store)
	}
	read(rowDraft("p", "k", "x"))
	undone := func() stash.Draft {
		t.Helper()
		var events []stash.Event
		err := s.View(ctx, func(tx *sqlite.Tx) (err error) {
			events, err = tx.ActNamed(act)
			return err
		})
		if err != nil || len(events) == 0 {
			t.Fatal(events, err)
		}
		return sqlite.DraftUndo(events)
	}
	read(undone())
	read(undone())
	read(stash.Draft{Kind: stash.KindUse, Of: "p", Body: stash.Movement{Mass: g}})
	read(undone())
}

func TestSpillingChangesNothing(t *testing.T) {
	whole, parts := newStore(t), newStore(t)
	for s, spill := range map[*stashtest.Replica]bool{whole: false, parts: true} {
		err := s.Act(ctx, func(tx *sqlite.Tx) error {
			for _, id := range []stash.Subject{"a", "b", "c"} {
				if _, err := tx.Record(rowDraft(id, "k-"+string(id), "x")); err != nil {
					return err
				}
				if _, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: id,
					Body: stash.Movement{Mass: g}}); err != nil {
					return err
				}
				if spill {
					if err := tx.Spill(); err != nil {
						return err
					}
				}
				if _, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "a",
					Body: stash.Movement{Mass: g}}); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		checked(t, s.Store)
		err = s.View(ctx, func(tx *sqlite.Tx) error {
			p, _, err := tx.Package("a")
			if p.Held != 96*g {
				t.Errorf("spilled %v: a holds %s, want 96 g", spill, p.Held)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
