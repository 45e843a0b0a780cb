package sqlite_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// A child finds here which file to write, how many events, where to die and
// for how long to wait for others.
const (
	childFile   = "ENDSMEET_TEST_STASH"
	childEvents = "ENDSMEET_TEST_EVENTS"
	childPoint  = "ENDSMEET_TEST_POINT"
	childName   = "ENDSMEET_TEST_NAME"
)

// TestMain is the child too. Properties run few cases here, and many with
// ENDSMEET_LONG=1.
func TestMain(m *testing.M) {
	if path := os.Getenv(childFile); path != "" {
		if err := child(path); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	if os.Getenv("ENDSMEET_LONG") == "" {
		_ = flag.Set("rapid.checks", "10")
	}
	os.Exit(m.Run())
}

// child records events, one or three in a command, and is killed at a point
// if one is named.
func child(path string) error {
	n, err := strconv.Atoi(os.Getenv(childEvents))
	if err != nil {
		return err
	}
	o := sqlite.Options{Machine: "test", Fault: dieAt(os.Getenv(childPoint))}
	s, err := sqlite.Open(context.Background(), path, o)
	if err != nil {
		return err
	}
	defer s.Close()
	if strings.HasSuffix(os.Getenv(childName), "1") { // as one who sets up the exchange
		if _, err := s.Signer(false); err != nil {
			return err
		}
	}
	for i := range n {
		if err := s.Act(context.Background(),
			func(tx *sqlite.Tx) error { return childAct(tx, i) }); err != nil {
			return err
		}
	}
	return nil
}

// childAct uses a gram of a package that all share, and receives one of its own.
func childAct(tx *sqlite.Tx, i int) error {
	p, _, err := tx.Package("shared")
	if err != nil {
		return err
	}
	use := stash.Draft{Kind: stash.KindUse, Of: "shared", Replaces: p.Heads,
		Body: stash.Movement{Mass: g, Note: fmt.Sprint(os.Getenv(childName), " ", i)}}
	if _, err := tx.Record(use); err != nil {
		return err
	}
	net := 100 * g
	receive := stash.Draft{Kind: stash.KindReceive, Of: tx.NewID(),
		Body: stash.Receive{Fields: stash.Fields{"yarn": stashtest.JSON("y")},
			Reading: stash.Reading{Net: &net}}}
	if _, err := tx.Record(receive); err != nil {
		return err
	}
	_, err = tx.Record(stash.Draft{Kind: stash.KindPerson, Of: tx.NewID(), Private: true,
		Body: stash.Set{What: stash.WhatPerson}})
	return err
}

// dieAt kills the process without warning when the point comes by for the
// time asked for: "inserted" or "inserted 3".
func dieAt(at string) func(sqlite.Point) {
	name, times, _ := strings.Cut(at, " ")
	left, _ := strconv.Atoi(times)
	return func(p sqlite.Point) {
		if string(p) != name {
			return
		}
		if left--; left <= 0 {
			self, _ := os.FindProcess(os.Getpid())
			_ = self.Kill()
			select {}
		}
	}
}

// run starts a child and waits for it; killed says that it died at its point.
func run(path, name, point string, n int) (killed bool, err error) {
	var out bytes.Buffer
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childFile+"="+path, childName+"="+name, childPoint+"="+point,
		childEvents+"="+strconv.Itoa(n))
	c.Stdout, c.Stderr = &out, &out
	err = c.Run()
	if status, ok := c.ProcessState.Sys().(syscall.WaitStatus); ok && status.Signaled() {
		return true, nil
	}
	if err != nil {
		err = fmt.Errorf("%s: %w: %s", name, err, out.String())
	}
	return false, err
}

func TestProcessesThatWriteAtOnceLoseNothing(t *testing.T) {
	const processes, acts = 4, 12
	for rule, prepared := range map[string]bool{"a stash that is there": true,
		"a stash that none of them found": false} {
		t.Run(rule, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "new", "stash.db")
			if prepared {
				closed(t, path)
			}
			errs := make([]error, processes)
			var all sync.WaitGroup
			for i := range processes {
				all.Go(func() { _, errs[i] = run(path, fmt.Sprint("child", i), "", acts) })
			}
			all.Wait()
			for _, err := range errs {
				if err != nil {
					t.Fatal(err)
				}
			}
			s := reopened(t, path)
			checked(t, s.Store)
			p := packageOf(t, s, "shared")
			if p.Used != processes*acts*g {
				t.Errorf("used %v, want %v", p.Used, processes*acts*g)
			}
			open, private := 0, 0
			for _, l := range lanesOf(t, s) {
				if l.Private {
					private++
				} else {
					open++
				}
			}
			if open != 1 || private != 1 {
				t.Errorf("%d open and %d private lanes were made", open, private)
			}
			signer, err := s.Signer(false)
			if err != nil || signer.Lane != ownLane(t, s) || signer.Former {
				t.Errorf("the key file holds the key of %s (%v), not of the lane that was written",
					signer.Lane, err)
			}
		})
	}
}

func reopened(t testing.TB, path string) *stashtest.Replica {
	t.Helper()
	clock := &stashtest.Clock{At: time.Now().Add(time.Hour), Step: time.Minute}
	s, err := sqlite.Open(ctx, path, sqlite.Options{Now: clock.Now, Machine: "test"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return &stashtest.Replica{Store: s, Clock: clock}
}

// TestKilledAtAnyPointLeavesACommandWholeOrUndone kills a child in its third
// command (the points of the key file come once only, in the first).
func TestKilledAtAnyPointLeavesACommandWholeOrUndone(t *testing.T) {
	for _, c := range []struct {
		point string
		acts  int // whole ones that are left
	}{
		{"begun 1", 0}, {"key 1", 0}, {"keyed 1", 0}, {"key 2", 0}, {"keyed 2", 0},
		{"inserted 1", 0}, {"folded 1", 0}, {"committed 1", 0},
		{"begun 4", 2}, {"inserted 7", 2}, {"inserted 8", 2}, {"folded 4", 2}, {"committed 4", 3},
	} {
		t.Run(c.point, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			killed, err := run(path, "child", c.point, 4)
			if err != nil || !killed {
				t.Fatalf("the child was not killed: %v", err)
			}
			s := reopened(t, path)
			checked(t, s.Store)
			if n := events(t, s.Store); n != 3*c.acts {
				t.Errorf("%d events are left of %d whole commands", n, c.acts)
			}
			if _, err := run(path, "after", "", 2); err != nil {
				t.Fatal(err)
			}
			checked(t, s.Store)
			if n := events(t, s.Store); n != 3*(c.acts+2) {
				t.Errorf("%d events after two more commands", n)
			}
			if left, _ := filepath.Glob(path + ".key.new*"); len(left) > 0 {
				t.Errorf("temporary key files are left: %v", left)
			}
		})
	}
}

// TestKilledAtAnyTimeLeavesTheLedgerWhole kills without regard to points, the
// making of the file among them.
func TestKilledAtAnyTimeLeavesTheLedgerWhole(t *testing.T) {
	rounds := 12
	if os.Getenv("ENDSMEET_LONG") != "" {
		rounds = 300
	}
	for i := range rounds {
		path := filepath.Join(t.TempDir(), "stash.db")
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), childFile+"="+path, childEvents+"=1000")
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(i%60) * time.Millisecond)
		_ = c.Process.Kill()
		_ = c.Wait()
		s := reopened(t, path)
		checked(t, s.Store)
		if n := events(t, s.Store); n%3 != 0 {
			t.Errorf("after %d ms: %d events, not whole commands", i, n)
		}
		_ = s.Close()
	}
}
