//go:build unix

package replica

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
)

// The test binary is also the program that is killed: what it is to do stands
// in its environment.
const (
	childDoes  = "ENDSMEET_CHILD_DOES"  // setup, join, sync or remove
	childStash = "ENDSMEET_CHILD_STASH" // the file
	childPlace = "ENDSMEET_CHILD_PLACE" // the shared folder
	childPoint = "ENDSMEET_CHILD_POINT" // where it kills itself
	childLimit = "ENDSMEET_CHILD_LIMIT" // how long a file may grow
)

func TestMain(m *testing.M) {
	if does := os.Getenv(childDoes); does != "" {
		if err := child(does); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	code := m.Run()
	remotetest.StopServers()
	os.Exit(code)
}

// killSelf ends this process as a power switch does, at one point.
func killSelf(p string) {
	if p == os.Getenv(childPoint) {
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	}
}

func child(does string) error {
	ctx := context.Background()
	if err := limitFiles(os.Getenv(childLimit)); err != nil {
		return err
	}
	h, err := openHome(os.Getenv(childStash), os.Getenv(childPlace), killSelf)
	if err != nil {
		return err
	}
	defer h.store.Close()
	switch does {
	case "setup":
		_, err = h.Setup(ctx, os.Getenv(childPlace), phrase, "")
	case "join":
		err = h.Join(ctx, os.Getenv(childPlace), phrase, "")
	case "remove":
		_, err = h.Remove(ctx, "gone", phrase+" no more")
	case "sync":
		if err = h.record("just now"); err == nil {
			_, err = h.Sync(ctx)
		}
	}
	return err
}

// limitFiles lets no file grow beyond a size, as a full disk does.
func limitFiles(text string) error {
	if text == "" {
		return nil
	}
	size, err := strconv.ParseUint(text, 10, 64)
	if err != nil {
		return err
	}
	signal.Ignore(syscall.SIGXFSZ)
	return syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: size, Max: size})
}

// home is a stash in a folder as a process of its own sees it.
type home struct {
	store *sqlite.Store
	*Replica
}

func openHome(path, folder string, fault func(string)) (*home, error) {
	s, err := sqlite.Open(context.Background(), path,
		sqlite.Options{Machine: "kill test", Fault: func(p sqlite.Point) { fault(string(p)) }})
	if err != nil {
		return nil, err
	}
	open := func(address, owner string) (exchange.Place, error) {
		d, err := dir.New(dir.Options{Path: folder, Owner: owner, Fault: fault})
		return exchange.Place{Remote: d, Address: address, Folder: true}, err
	}
	// Without a grace, so that the points of deleting are passed.
	return &home{s, New(exchange.Options{Store: s, Open: open, Work: 4,
		Fault: func(p exchange.Point) { fault(string(p)) }, FolderGrace: -time.Hour})}, nil
}

func (h *home) record(name string) error {
	return h.store.Act(context.Background(), func(tx *sqlite.Tx) error {
		raw := stash.Fields{"name": []byte(fmt.Sprintf("%q", name))}
		_, err := tx.Record(stash.Draft{Kind: stash.KindYarn, Of: tx.NewID(),
			Body: stash.Set{What: stash.WhatYarn, Fields: raw}})
		return err
	})
}

// scene is three homes and a folder, and how they lay before a kill.
type scene struct {
	t          *testing.T
	root, kept string
}

func (s scene) path(name string) string { return filepath.Join(s.root, name, "stash.db") }
func (s scene) folder() string          { return filepath.Join(s.root, "shared") }

// with opens a home in this process and closes it again.
func (s scene) with(name string, do func(*home) error) {
	s.t.Helper()
	h, err := openHome(s.path(name), s.folder(), func(string) {})
	if err == nil {
		err = do(h)
		_ = h.store.Close()
	}
	if err != nil {
		s.t.Fatalf("%s: %v", name, err)
	}
}

func newScene(t *testing.T) scene {
	root := tempDir(t)
	s := scene{t, filepath.Join(root, "now"), filepath.Join(root, "kept")}
	if err := os.MkdirAll(s.folder(), 0o700); err != nil {
		t.Fatal(err)
	}
	return s
}

// keep remembers how all lies, reset brings it back.
func (s scene) keep()  { s.copyAll(s.root, s.kept) }
func (s scene) reset() { s.copyAll(s.kept, s.root) }

func (s scene) copyAll(from, to string) {
	s.t.Helper()
	if err := os.RemoveAll(to); err != nil {
		s.t.Fatal(err)
	}
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		s.t.Fatal(err)
	}
}

// killed runs a home in a process that kills itself at a point; false if it
// never came by it.
func (s scene) killed(does, name string, at exchange.Point) bool {
	s.t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childDoes+"="+does, childStash+"="+s.path(name),
		childPlace+"="+s.folder(), childPoint+"="+string(at))
	out, err := cmd.CombinedOutput()
	if err == nil {
		return false
	}
	status, ok := cmd.ProcessState.Sys().(syscall.WaitStatus)
	if !ok || !status.Signaled() || status.Signal() != syscall.SIGKILL {
		s.t.Fatalf("%s of %s at %s: %v\n%s", does, name, at, err, out)
	}
	return true
}

// heal lets every home exchange, which must find nothing wrong, and compares.
func (s scene) heal(homes ...string) {
	s.t.Helper()
	prints := map[string]Print{}
	for range 3 {
		for _, name := range homes {
			s.with(name, func(h *home) error {
				r, err := h.Sync(context.Background())
				if len(r.Bad)+len(r.Twins) > 0 {
					s.t.Errorf("%s after a kill: %+v", name, r)
				}
				prints[name], _ = h.Fingerprint(context.Background())
				return err
			})
		}
	}
	for _, name := range homes {
		if prints[name] != prints[homes[0]] {
			s.t.Errorf("%s holds %+v, %s %+v", homes[0], prints[homes[0]], name, prints[name])
		}
		s.with(name, func(h *home) error {
			c, err := h.Check(context.Background(), true)
			if err == nil && !c.OK() {
				s.t.Errorf("%s finds the place not whole: %+v", name, c)
			}
			return err
		})
		s.with(name, func(h *home) error { return checkHome(s.t, h) })
	}
}

func checkHome(t *testing.T, h *home) error {
	return h.store.View(context.Background(), func(tx *sqlite.Tx) error {
		report, err := tx.Check()
		if err == nil && !report.OK() {
			t.Errorf("the ledger after a kill: %v", report.Findings)
		}
		return err
	})
}

// twoHomes sets the scene for an exchange that passes every point: there is
// news, something to send, a head to delete and a row to merge.
func (s scene) twoHomes() {
	ctx := context.Background()
	s.with("anneke", func(h *home) error {
		if _, err := h.Setup(ctx, s.folder(), phrase, ""); err != nil {
			return err
		}
		for i := range sixteen - 1 {
			if err := h.record(fmt.Sprint("yarn ", i)); err != nil {
				return err
			}
			if _, err := h.Sync(ctx); err != nil {
				return err
			}
		}
		return nil
	})
	for _, name := range []string{"bo", "gone"} {
		s.with(name, func(h *home) error {
			if err := h.Join(ctx, s.folder(), phrase, ""); err != nil {
				return err
			}
			if err := h.Rename(ctx, "this", name); err != nil {
				return err
			}
			if err := h.record("of " + name); err != nil {
				return err
			}
			_, err := h.Sync(ctx)
			return err
		})
	}
}

// few are the points that the less frequent commands are killed at.
var few = []exchange.Point{
	exchange.Point(sqlite.PointKey),
	exchange.Point(sqlite.PointKeyed),
	exchange.PointMaking,
	exchange.PointMade,
	exchange.PointRekeying,
	exchange.PointRekeyed,
	exchange.PointPut,
	exchange.PointStruck,
	exchange.PointSealed,
	remote.PointHalfWritten,
	remote.PointBeforeDirsync,
}

// attempt is a command that is killed, and how it is begun again.
type attempt struct {
	does, home string
	points     []exchange.Point
	// again does what a person does after a kill.
	again func(*home) error
	// homes take part in the healing.
	homes []string
}

// run kills the command at every point, each time from the same scene.
func (a attempt) run(t *testing.T, met map[exchange.Point]int, set func(scene)) {
	s := newScene(t)
	set(s)
	s.keep()
	for _, at := range a.points {
		s.reset()
		if !s.killed(a.does, a.home, at) {
			continue
		}
		met[at]++
		if a.again != nil {
			s.with(a.home, func(h *home) error {
				if _, err := h.Devices(context.Background()); err == nil {
					return nil // it takes part, and the next sync finishes what is left
				}
				return a.again(h)
			})
		}
		s.heal(a.homes...)
	}
}

func TestKilledAtEveryPointAndTheNextRunHeals(t *testing.T) {
	t.Parallel()
	met := map[exchange.Point]int{}
	attempts := []attempt{
		{does: "sync", home: "anneke", points: places, homes: []string{"anneke", "bo"}},
		{does: "remove", home: "anneke", points: few, homes: []string{"anneke", "bo"}},
		{does: "join", home: "newcomer", points: few, homes: []string{"anneke", "bo", "newcomer"},
			again: func(h *home) error {
				return h.Join(context.Background(), "there", phrase, "")
			}},
	}
	for _, a := range attempts {
		t.Run(a.does, func(t *testing.T) { a.run(t, met, scene.twoHomes) })
	}
	t.Run("setup", func(t *testing.T) {
		a := attempt{does: "setup", home: "anneke", points: few, homes: []string{"anneke"}}
		a.again = func(h *home) error {
			_, err := h.Setup(context.Background(), "there", phrase, "")
			return err
		}
		a.run(t, met, func(scene) {})
	})
	for _, p := range places {
		if met[p] == 0 {
			t.Errorf("nobody was killed at %s", p)
		}
	}
	t.Logf("killed at %d points: %v", len(met), met)
}

func TestAFullDiskUnderTheStashTakesInNothingByHalves(t *testing.T) {
	ctx := context.Background()
	s := newScene(t)
	s.with("anneke", func(h *home) error {
		_, err := h.Setup(ctx, s.folder(), phrase, "")
		return err
	})
	s.with("bo", func(h *home) error { return h.Join(ctx, s.folder(), phrase, "") })
	s.with("anneke", func(h *home) error {
		for i := range 400 {
			if err := h.record(fmt.Sprint("yarn ", i,
				strings.Repeat(" of a long name", 40))); err != nil {
				return err
			}
		}
		_, err := h.Sync(ctx)
		return err
	})
	info, err := os.Stat(s.path("bo"))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childDoes+"=sync", childStash+"="+s.path("bo"),
		childPlace+"="+s.folder(), fmt.Sprintf("%s=%d", childLimit, info.Size()+32<<10))
	out, err := cmd.CombinedOutput()
	if err == nil {
		t.Fatal("the limit was not felt")
	}
	if !strings.Contains(string(out), "full") && !strings.Contains(string(out), "disk") {
		t.Errorf("a full disk is told as %s", out)
	}
	s.with("bo", func(h *home) error { return checkHome(t, h) })
	s.heal("bo", "anneke")
}
