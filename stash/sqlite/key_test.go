package sqlite_test

import (
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// closed makes a stash with one package and closes it.
func closed(t *testing.T, path string) stash.Lane {
	t.Helper()
	s := openAt(t, path, 1)
	receive(t, s, 100*g)
	lane := ownLane(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return lane
}

// laneAfterAWrite opens a stash, writes to it and gives the lane written.
func laneAfterAWrite(t *testing.T, path string, o sqlite.Options) stash.Lane {
	t.Helper()
	clock := stashtest.NewClock()
	clock.At = clock.At.Add(hours(1))
	o.Now, o.IDs = clock.Now, stashtest.CountingIDs(99<<32)
	s, err := sqlite.Open(ctx, path, o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	r := &stashtest.Replica{Store: s, Clock: clock}
	record(t, r, stash.Draft{Kind: stash.KindSet, Of: stash.SettingsSubject,
		Body: stash.Set{What: stash.WhatSettings,
			Fields: stash.Fields{"maker": stashtest.JSON("m")}}})
	checked(t, s)
	return ownLane(t, r)
}

func TestWhoWritesUnderWhichLane(t *testing.T) {
	copyTo := func(t *testing.T, from, to string) {
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			t.Fatal(err)
		}
		write(t, to, read(t, from))
	}
	for _, c := range []struct {
		rule    string
		machine string
		make    func(t *testing.T, path string) string
		same    bool
	}{
		{"the same file goes on under its lane", "test",
			func(_ *testing.T, p string) string { return p }, true},
		{"through a link too", "test", func(t *testing.T, p string) string {
			link := filepath.Join(t.TempDir(), "link")
			if err := os.Symlink(filepath.Dir(p), link); err != nil {
				t.Fatal(err)
			}
			return filepath.Join(link, filepath.Base(p))
		}, true},
		{"a copy of the database takes a new lane", "test", func(t *testing.T, p string) string {
			to := filepath.Join(t.TempDir(), "copy.db")
			copyTo(t, p, to)
			return to
		}, false},
		{"a copy with its key file takes a new lane", "test", func(t *testing.T, p string) string {
			to := filepath.Join(t.TempDir(), "stash.db")
			copyTo(t, p, to)
			copyTo(t, p+".key", to+".key")
			return to
		}, false},
		{"with the key of another stash it takes a new lane", "test",
			func(t *testing.T, p string) string {
				other := filepath.Join(t.TempDir(), "stash.db")
				closed(t, other)
				copyTo(t, other+".key", p+".key")
				return p
			}, false},
		{"the same path on another machine takes a new lane", "another",
			func(_ *testing.T, p string) string { return p }, false},
		{"without its key file it takes a new lane", "test", func(t *testing.T, p string) string {
			if err := os.Remove(p + ".key"); err != nil {
				t.Fatal(err)
			}
			return p
		}, false},
	} {
		t.Run(c.rule, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			before := closed(t, path)
			got := laneAfterAWrite(t, c.make(t, path), sqlite.Options{Machine: c.machine})
			if got == "" || (got == before) != c.same {
				t.Errorf("was %s, is %s", before, got)
			}
		})
	}
}

func TestADamagedKeyFileSaysSo(t *testing.T) {
	for rule, c := range map[string]struct {
		content string
		code    stash.Code
		words   string
	}{
		"cut off":       {`{"version": 1, "mach`, stash.CodeStorage, "cannot be read"},
		"empty":         {``, stash.CodeStorage, "cannot be read"},
		"not even text": {"\x00\xff", stash.CodeStorage, "cannot be read"},
		"a newer one":   {`{"version": 2}`, stash.CodeNewer, "newer endsmeet"},
	} {
		t.Run(rule, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			closed(t, path)
			write(t, path+".key", []byte(c.content))
			s := openAt(t, path, 3)
			err := s.Act(ctx, func(tx *sqlite.Tx) error {
				_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
					Body: stash.Movement{Mass: g}})
				return err
			})
			refused(t, err, c.code, c.words)
			if string(read(t, path+".key")) != c.content {
				t.Error("it was overwritten")
			}
			if n := events(t, s.Store); n != 1 {
				t.Errorf("%d events", n)
			}
		})
	}
}

func TestAMovedStashKeepsTheKeysOfWhatItWroteBefore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stash.db")
	before := closed(t, path)
	laneAfterAWrite(t, path, sqlite.Options{Machine: "another"})
	if raw := string(read(t, path+".key")); !contains(raw, string(before)) {
		t.Errorf("the key of lane %s is lost: %s", before, raw)
	}
}
