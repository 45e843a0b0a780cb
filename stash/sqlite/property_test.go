package sqlite_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// checked fails the test if a check finds a fault in a stash.
func checked(t rapid.TB, s *sqlite.Store) sqlite.Report {
	t.Helper()
	var r sqlite.Report
	err := s.View(context.Background(), func(tx *sqlite.Tx) (err error) {
		r, err = tx.Check()
		return err
	})
	if err != nil || !r.OK() {
		t.Fatalf("check: %v %+v", err, r.Findings)
	}
	return r
}

// newWorld makes replicas in a folder of their own for one case of a property.
func newWorld(t *rapid.T, folder string, replicas int) (*stashtest.World, string) {
	dir, err := os.MkdirTemp(folder, "case-")
	if err != nil {
		t.Fatal(err)
	}
	w, err := stashtest.NewWorld(replicas,
		func(i int) string { return filepath.Join(dir, fmt.Sprintf("%d.db", i)) })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Error(err)
		}
		_ = os.RemoveAll(dir)
	})
	return w, dir
}

func TestAfterEveryCommandTheViewsAreAFoldFromNothing(t *testing.T) {
	folder := t.TempDir()
	done := 0
	rapid.Check(t, func(t *rapid.T) {
		w, _ := newWorld(t, folder, 2)
		steps := w.Steps()
		steps[""] = func(t *rapid.T) {
			for _, r := range w.Replicas {
				checked(t, r.Store)
			}
		}
		t.Repeat(steps)
		done += w.Done
	})
	if done == 0 {
		t.Fatal("no command was recorded")
	}
}

func TestAnyOrderAndAnyPortionsGiveTheSameViews(t *testing.T) {
	folder := t.TempDir()
	sent := 0
	rapid.Check(t, func(t *rapid.T) {
		w, dir := newWorld(t, folder, 3)
		t.Repeat(w.Steps())
		var parts []sqlite.Incoming
		for _, r := range w.Replicas {
			runs, err := stashtest.Runs(r.Store)
			if err != nil {
				t.Fatal(err)
			}
			for _, run := range runs {
				parts = append(parts, stashtest.Cut(run, rapid.IntRange(1, 9).Draw(t, "size"))...)
			}
		}
		sent += len(parts)
		want := viewsAfter(t, w.Replicas[0].Store, parts)
		for i := range 2 {
			fresh, err := stashtest.Open(filepath.Join(dir, fmt.Sprintf("fresh%d.db", i)), "fresh",
				77)
			if err != nil {
				t.Fatal(err)
			}
			shuffled := rapid.Permutation(parts).Draw(t, "order")
			sameViews(t, viewsAfter(t, fresh.Store, shuffled), want)
			_ = fresh.Close()
		}
	})
	if sent == 0 {
		t.Fatal("nothing was sent")
	}
}

// viewsAfter has a stash take in all parts, coming back to those whose
// predecessor was not there yet, and gives its views.
func viewsAfter(t *rapid.T, s *sqlite.Store, parts []sqlite.Incoming) map[string]string {
	waiting := parts
	for len(waiting) > 0 {
		var still []sqlite.Incoming
		for _, part := range waiting {
			_, err := stashtest.Accept(s, part)
			if gap := (*sqlite.GapError)(nil); errors.As(err, &gap) {
				still = append(still, part)
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if len(still) == len(waiting) {
			t.Fatalf("%d parts never found their predecessor", len(still))
		}
		waiting = still
	}
	checked(t, s)
	views, err := stashtest.Views(s)
	if err != nil {
		t.Fatal(err)
	}
	return views
}

func sameViews(t rapid.TB, got, want map[string]string) {
	t.Helper()
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if got[name] != want[name] {
			t.Errorf("%s:\n got %s\nwant %s", name, got[name], want[name])
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d views, want %d", len(got), len(want))
	}
	if t.Failed() {
		t.FailNow()
	}
}
