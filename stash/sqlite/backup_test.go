package sqlite_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func noProgress(int, int) {}

func TestABackupIsWholeWhileOthersWrite(t *testing.T) {
	s := newStore(t)
	receive(t, s, 500*g)
	path := filepath.Join(t.TempDir(), "copy.db")
	wrote := false
	n, err := s.Backup(ctx, path, true, func(int, int) {
		if !wrote {
			wrote = true
			receive(t, s, 10*g) // another connection, in the middle of it
		}
	})
	if err != nil || !wrote {
		t.Fatal(err, wrote)
	}
	here := events(t, s.Store)
	copied := openAt(t, path, 3)
	if got := events(t, copied.Store); got != n || n >= here {
		t.Errorf("the copy has %d events and says %d; the stash has %d by now", got, n, here)
	}
	checked(t, copied.Store)
}

func TestABrokenOffBackupLeavesNothing(t *testing.T) {
	s := newStore(t)
	receive(t, s, 500*g)
	dir := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	_, err := s.Backup(ctx, filepath.Join(dir, "copy.db"), true, func(int, int) { stop() })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("%s is left lying about", left[0].Name())
	}
	if _, err := s.Backup(context.Background(), filepath.Join(dir, "copy.db"), true,
		noProgress); err != nil {
		t.Errorf("the next one: %v", err)
	}
}

func TestARestoredStashWritesUnderANewLane(t *testing.T) {
	s := newStore(t)
	receive(t, s, 500*g)
	dir := t.TempDir()
	copied, path := filepath.Join(dir, "copy.db"), filepath.Join(dir, "new", "stash.db")
	if _, err := s.Backup(ctx, copied, true, noProgress); err != nil {
		t.Fatal(err)
	}
	if _, err := sqlite.Restore(ctx, copied, path, sqlite.Options{Machine: "other"}); err != nil {
		t.Fatal(err)
	}
	r := openAt(t, path, 4)
	receive(t, r, 5*g)
	lanes := map[stash.Lane]bool{}
	err := r.View(ctx, func(tx *sqlite.Tx) error {
		return tx.Events(true, func(e stash.Event) error { lanes[e.Lane] = true; return nil })
	})
	if err != nil || len(lanes) != 2 {
		t.Errorf("%d lanes, %v", len(lanes), err)
	}
	checked(t, r.Store)
}
