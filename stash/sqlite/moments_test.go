package sqlite_test

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// moment is what lies on the disk of a stash that is open: the file, its log, what
// its readers share.
type moment map[string][]byte

// moments records for a while, closing and writing back at times, and copies what lies
// there as it goes.
func moments(t *testing.T, path string, seed uint64, chance *rand.Rand) []moment {
	t.Helper()
	s := openAt(t, path, seed)
	id := receive(t, s, 500*g)
	var all []moment
	keep := func() {
		m := moment{}
		for _, tail := range []string{"", "-wal", "-shm"} {
			if raw, err := os.ReadFile(path + tail); err == nil {
				m[tail] = raw
			}
		}
		all = append(all, m)
	}
	for i := range uint64(14) {
		for range 1 + chance.IntN(12) {
			if use(t, s, id, g); chance.IntN(3) == 0 {
				id = receive(t, s, 500*g)
			}
		}
		keep()
		at := s.Clock.At
		switch how := []string{"PASSIVE", "RESTART", "TRUNCATE", "close", "", "", "", ""}[chance.IntN(8)]; how {
		case "":
			continue
		case "close":
			_ = s.Close()
			s = openAt(t, path, seed+100+i)
			s.Clock.At = at
		default:
			if _, err := s.Pool().Exec(`PRAGMA wal_checkpoint(` + how + `)`); err != nil {
				t.Fatal(err)
			}
		}
		keep()
	}
	return all
}

// A log that was lost, or is of another moment than the file, as when one of the two
// was put back: the stash opens whole, as it was at some moment, or is refused with
// both files as they were. What readers share may hide that a view is of another
// moment than its events: then `check` names the view.
func TestAFileAndALogOfDifferentMomentsOpenWholeOrNotAtAll(t *testing.T) {
	seeds, each := uint64(3), 60
	if os.Getenv("ENDSMEET_LONG") != "" {
		seeds, each = 40, 250
	}
	did := map[string]int{}
	for seed := range seeds {
		chance := rand.New(rand.NewPCG(seed, 5))
		from := filepath.Join(t.TempDir(), "stash.db")
		all := moments(t, from, seed+1, chance)
		for range each {
			path := filepath.Join(t.TempDir(), "stash.db")
			write(t, path, all[chance.IntN(len(all))][""])
			write(t, path+".key", read(t, from+".key"))
			for _, tail := range []string{"-wal", "-shm"} {
				if raw := all[chance.IntN(len(all))][tail]; raw != nil && chance.IntN(4) > 0 {
					write(t, path+tail, raw)
				}
			}
			did[opened(t, path)]++
		}
	}
	if did["whole"] == 0 || did["refused"] == 0 || did["a view is found"] > did["refused"]/50 {
		t.Errorf("%v", did)
	}
	t.Logf("%v", did)
}

// opened says what came of opening a stash.
func opened(t *testing.T, path string) string {
	t.Helper()
	file := read(t, path)
	log, _ := os.ReadFile(path + "-wal")
	s, err := sqlite.Open(ctx, path, stashtest.NewClock().Options(3))
	if err != nil {
		refused(t, err, stash.CodeDamaged, "do not belong together")
		after, _ := os.ReadFile(path + "-wal")
		if !bytes.Equal(file, read(t, path)) || !bytes.Equal(log, after) {
			t.Error("a file was changed")
		}
		return "refused"
	}
	var r sqlite.Report
	err = s.View(ctx, func(tx *sqlite.Tx) (err error) {
		r, err = tx.Check()
		return err
	})
	if err = errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Fault && f.Code != "fold" {
			t.Errorf("it was opened, and check finds %s: %s", f.Code, f.Message)
		}
	}
	if r.OK() {
		return "whole"
	}
	return "a view is found"
}
