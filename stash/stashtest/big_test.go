package stashtest_test

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// TestBigMakesWhatItSays makes a small one; ENDSMEET_BIG=FILE makes the one of
// 2,000 packages and 1,000,000 events (ENDSMEET_BIG_EVENTS of them) there, for
// comparisons side by side.
func TestBigMakesWhatItSays(t *testing.T) {
	path, packages, events := filepath.Join(t.TempDir(), "big.db"), 20, 1000
	if kept := os.Getenv("ENDSMEET_BIG"); kept != "" {
		path, packages, events = kept, 2000, 1_000_000
		if n, err := strconv.Atoi(os.Getenv("ENDSMEET_BIG_EVENTS")); err == nil {
			events = n
		}
	}
	began := time.Now()
	if err := stashtest.Big(path, packages, events); err != nil {
		t.Fatal(err)
	}
	t.Logf("made in %v", time.Since(began).Round(time.Millisecond))
	s, err := sqlite.Open(context.Background(), path, stashtest.NewClock().Options(2))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.View(context.Background(), func(tx *sqlite.Tx) error {
		began := time.Now()
		r, err := tx.Check()
		t.Logf("checked in %v", time.Since(began).Round(time.Millisecond))
		if err != nil || !r.OK() || r.Received != measure.Mass(packages)*500*measure.Gram ||
			r.Used == 0 || r.Unexplained != 0 {
			t.Errorf("%v, %+v", err, r)
		}
		lanes, err := tx.Lanes()
		var held int64
		for _, l := range lanes {
			held += l.Last
		}
		if held != int64(events) {
			t.Errorf("holds %d events, want %d", held, events)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
