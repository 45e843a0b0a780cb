package sqlite_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

var ctx = context.Background()

// newStore opens a new stash in a folder of the test's own.
func newStore(t testing.TB) *stashtest.Replica {
	t.Helper()
	path := filepath.Join(t.TempDir(), "stash.db")
	if err := stashtest.WriteEmpty(path); err != nil {
		t.Fatal(err)
	}
	return openAt(t, path, 1)
}

func openAt(t testing.TB, path string, seed uint64) *stashtest.Replica {
	t.Helper()
	s, err := stashtest.Open(path, filepath.Base(path), seed)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// pair opens two replicas that have a package of 500 g in common.
func pair(t testing.TB) (a, b *stashtest.Replica, id stash.PackageID) {
	t.Helper()
	a, b = newStore(t), openAt(t, filepath.Join(t.TempDir(), "other.db"), 2)
	id = receive(t, a, 500*measure.Gram)
	send(t, a, b)
	return a, b, id
}

func send(t testing.TB, from, to *stashtest.Replica) {
	t.Helper()
	if err := stashtest.Send(from.Store, to.Store); err != nil {
		t.Fatal(err)
	}
}

// exchange has two replicas take in all that the other holds.
func exchange(t testing.TB, a, b *stashtest.Replica) {
	t.Helper()
	send(t, a, b)
	send(t, b, a)
}

func record(t testing.TB, s *stashtest.Replica, drafts ...stash.Draft) stash.Act {
	t.Helper()
	var act stash.Act
	err := s.Act(ctx, func(tx *sqlite.Tx) error {
		for _, d := range drafts {
			if _, err := tx.Record(d); err != nil {
				return err
			}
		}
		act = tx.Act()
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return act
}

func receive(t testing.TB, s *stashtest.Replica, net measure.Mass) stash.PackageID {
	t.Helper()
	id := stash.Subject("package" + s.Clock.Now().Format("150405"))
	record(t, s, stash.Draft{Kind: stash.KindReceive, Of: id, Body: stash.Receive{
		Fields: stash.Fields{"yarn": stashtest.JSON("a yarn")}, Reading: stash.Reading{Net: &net}}})
	return stash.PackageID(id)
}

func packageOf(t testing.TB, s *stashtest.Replica, id stash.PackageID) stash.Package {
	t.Helper()
	var p stash.Package
	err := s.View(ctx, func(tx *sqlite.Tx) (err error) {
		p, _, err = tx.Package(id)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func pieceOf(t testing.TB, s *stashtest.Replica, id stash.PieceID) stash.Piece {
	t.Helper()
	var p stash.Piece
	err := s.View(ctx, func(tx *sqlite.Tx) (err error) {
		p, _, err = tx.Piece(id)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// move records a movement of a package as a command would.
func move(t testing.TB, s *stashtest.Replica, id stash.PackageID, m stash.Move,
	draft func(stash.Package, stash.Move) (stash.Draft, error)) stash.Act {
	t.Helper()
	p := packageOf(t, s, id)
	if m.At.IsZero() {
		m.At = s.Clock.Now()
	}
	d, err := draft(p, m)
	if err != nil {
		t.Fatal(err)
	}
	return record(t, s, d)
}

func use(t testing.TB, s *stashtest.Replica, id stash.PackageID, mass measure.Mass) stash.Act {
	t.Helper()
	return move(t, s, id, stash.Move{Mass: mass}, stash.Package.Use)
}

func weigh(t testing.TB, s *stashtest.Replica, id stash.PackageID, net measure.Mass) stash.Act {
	t.Helper()
	return move(t, s, id, stash.Move{Reading: stash.Reading{Net: &net}}, stash.Package.Weigh)
}

// undo reverses an act in a replica that may have only part of it.
func undo(t testing.TB, s *stashtest.Replica, act stash.Act) stash.Act {
	t.Helper()
	var d stash.Draft
	err := s.View(ctx, func(tx *sqlite.Tx) error {
		events, err := tx.ActNamed(act)
		if err == nil {
			d = sqlite.DraftUndo(events)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return record(t, s, d)
}

// refused fails the test unless err is a refusal of a class that says the
// words given.
func refused(t testing.TB, err error, code stash.Code, words string) {
	t.Helper()
	if err == nil {
		t.Fatalf("was not refused; want %s: %s", code, words)
	}
	var refusal *stash.Error
	if !errors.As(err, &refusal) || refusal.Code != code ||
		!strings.Contains(refusal.Error(), words) {
		t.Fatalf("refused with %s: %v; want %s: %s", stash.CodeOf(err), err, code, words)
	}
}

// sameOn fails the test unless the replicas show the same and are whole.
func sameOn(t testing.TB, replicas ...*stashtest.Replica) {
	t.Helper()
	var want map[string]string
	for _, r := range replicas {
		checked(t, r.Store)
		views, err := stashtest.Views(r.Store)
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = views
		}
		sameViews(t, views, want)
	}
}

func read(t testing.TB, path string) []byte {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func hours(n int) time.Duration { return time.Duration(n) * time.Hour }

func write(t testing.TB, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

func contains(text, part string) bool { return strings.Contains(text, part) }
